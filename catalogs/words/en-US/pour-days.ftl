# pour-days.pdf: for the casting crew, one page per pour day.

pour-day = Day { $day }
pour-turn = { $pour }, round { $turn }
pour-days = { $count ->
    [one] day { $days }
   *[other] days { $days }
}
