# Faults of picks, anchors, loads and access: what was entered, what is allowed, what to type.

load-over-payload = weighs { $load_kg }, and the payload is { $payload_kg }.
    .fix = Use a larger truck.

site-order-unknown = names { $mark }, and the job has no piece of that mark.
    .fix = Write the marks of the job.
site-order-twice = names { $mark } twice.
    .fix = Name each mark once.

# Picks and slings.
pick-place = Pick { $number } at ({ $x_m }, { $y_m })
pick-outside = { $pick } is outside the piece.
    .fix = Move it inside the outline.
pick-in-cutout = { $pick } is in a cutout.
    .fix = Move it onto the piece.
pick-near-edge = { $pick } is { $distance_m } from an edge, and the gear needs { $least_m }.
    .fix = Move it inward.
pick-off-center = One pick, and the center of gravity is { $distance_m } to its side. The piece would swing.
    .fix = Pick above the center of gravity.
picks-at-one-place = Two picks are at the same place.
    .fix = Give each its own place.
picks-off-line = The center of gravity is { $distance_m } off the line between the picks. The piece would roll.
    .fix = Move the picks in line with it, or use three or four.
picks-around-nothing = The center of gravity at ({ $x_m }, { $y_m }) is outside the picks. The piece would tip.
    .fix = Move the picks so that they surround it.
picks-too-many = { $count } picks were given. One to four are planned.
    .fix = More than four need a rigging plan by a qualified rigger.
sling-angle-without-reference = Sling angle { $degrees }° has no reference.
    .fix = Write angle_from = "horizontal" or "vertical".
sling-angle-outside = Sling angle is { $degrees }° from the horizontal. { $least }° to 90° is allowed.
    .fix = Use longer slings or a spreader.
hook-at-no-height = Slings at 90° never meet in one hook.
    .fix = Use a spreader beam.

# Anchors and overhangs.
anchors-too-few = { $count ->
    [one] 1 anchor was given.
   *[other] { $count } anchors were given.
} A panel needs at least two that bear.
    .fix = Add an anchor.
anchors-off-center = The center of gravity at { $center_m } is outside the anchors. The panel would turn.
    .fix = Set an anchor on either side of it.
overhang-is-all = is { $overhang_m }, which is the whole piece.
    .fix = Enter only what sticks out past the support.
overhang-of-hung = is for a piece that stands on a support, and this one hangs on a wall.
    .fix = Remove it, or write hung = false.
anchors-of-standing = is for a piece that hangs on a wall.
    .fix = Write hung = true, or remove it.

# Loads and crews.
dynamic-factor-missing = No dynamic factor for the { $stage } stage.
    .fix = Enter one of at least 1.
dynamic-factor-low = Dynamic factor is { $factor }.
    .fix = Enter at least 1.
dynamic-factor-low-at = Dynamic factor for the { $stage } stage is { $factor }.
    .fix = Enter at least 1.
lifting-duration = Lifting time is { $hours } h. The lifting equation covers up to 8 h.
    .fix = Enter more than 0 and up to 8 h.
team-not-planned = A team of { $people } is not planned.
    .fix = Use one to four people, or pairs up to { $most }.
no-room-for-one = There is room for { $people } people.
    .fix = A hand lift needs room for one at least.
no-team-factor = No team factor is published for { $people } people.
    .fix = Use a machine, or have the lift assessed.

# Bending.
load-off-piece = Load from { $from_m } to { $to_m } is off the piece, which is { $length_m } long.
    .fix = Move the load onto the piece.
tips-over-support = Held at { $first_m } and { $second_m }, the piece tips over the support at { $other_m }.
    .fix = Put the supports on both sides of its center of gravity.
supports-at-one-place = Both supports are at the same place.
    .fix = Give each its own place.
no-cross-sections = The piece has no cross-sections.
    .fix = Enter a shape that has a length.
rings-bound-no-slab = The outline and its cutouts do not bound one slab.
    .fix = Close the rings, and let none cross or overlap.
drop-not-deeper = Drop edge is { $height_m } high, and the slab is { $thickness_m } thick.
    .fix = Make the drop edge higher than the slab is thick.
