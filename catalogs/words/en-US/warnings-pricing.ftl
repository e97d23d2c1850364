# What pricing and the calendar warn of.

warning-pour-over-hours = Casting takes up to { $hours } person-hours in a day ({ $pours }). The shop has { $shop_hours }. Split the pour or bring in more people.
warning-days-off = Stripping or wet curing falls on days off ({ $pours }): { $days }. Write on the pour-day sheet who comes, or pour on another day.
warning-day-of-week = { $day ->
    [0] Monday
    [1] Tuesday
    [2] Wednesday
    [3] Thursday
    [4] Friday
    [5] Saturday
   *[6] Sunday
} of week { $week }
warning-more-days = { $count ->
    [one] 1 more day
   *[other] { $count } more days
}
warning-more-pours = { $count ->
    [one] 1 more pour
   *[other] { $count } more pours
}
warning-floor-full = Week { $week }: pieces take { $floor_m2 } of floor. The shop has { $shop_floor_m2 }. Pour later, ship in parts, or rack the pieces.
warning-sealing-late = Sealing is later than planned ({ $pours }). Honing holds it up.
warning-hours-unusual = Labor is { $rate_s_m2 } of finished face (usual: { $low_rate_s_m2 } to { $high_rate_s_m2 }). { $side ->
    [high] A small job carries its visits and setup alone.
   *[low] An activity may be missing.
} Check the hours by activity.

warning-day = { $day_date }
