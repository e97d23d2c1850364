# Warnings about what the job file and its catalogs say.

warning-air-assumed = Mix { $mix } has no air. { $air_share } is assumed, as poured.
warning-air-entrained = Mix { $mix } has no air. { $air_share } is assumed. { $low_share } to { $high_share } is usual with this light aggregate and an air entrainer.
warning-miter-deep = The miters take { $taken_share } of the molding. They are plumb and turn in plan. To cut across the height, swap the coordinates of the profile.
warning-sign-off-missing = The job is { $status }, but not signed off: { $papers }. Get signatures before casting.
signed-sketch = the sketch
signed-sample = the sample
signed-template = the template
warning-agreed-ended = Change order { $number } ({ $reason }) does not say what it adds to the price that the client accepted. The whole price is calculated again. Enter the amounts in its `agreed`.
warning-change-unsigned = Change order { $number } ({ $reason }) is not signed. It is priced but not part of the job.
warning-stock-expired = { $place } expired on { $last_date } and does not count.
warning-stock-undated = { $place } is good until { $last_date }, but the job has no date. Check that it is still good.
warning-stock-unused = The job does not use the stock of { $material }.
warning-reserve-unused = The job does not use { $material }, which is kept in reserve.
warning-correction-applied = { $subject }: { $figure } is { $becomes }, corrected by weighing. It was { $was }.
    .many = { $count } figures are corrected by weighing: { $subject }.
warning-correction-no-material = { $key }: the material is gone. Its correction is left out.
warning-correction-no-figure = { $subject }: the correction of { $figure } from { $was } to { $becomes } is left out. The job no longer has this figure.
    .many = { $count } corrections are left out. The job no longer has these figures.
warning-correction-stale = { $subject }: the correction of { $figure } from { $was } to { $becomes } is left out. The job now has { $now }. Weigh again, or delete the entry.
    .many = { $count } corrections are left out. The job was changed since. Weigh again, or delete the entries.

warning-forms-few = { $mark }: { $casts } pieces from { $forms ->
    [one] one form
   *[other] { $forms } forms
} take { $days } days of casting. Write forms = { $enough } to cast them in { $fewer } days.{ $more ->
    [0] {""}
    [one] {" "}One more mark has few forms too.
   *[other] {" "}{ $more } more marks have few forms too.
}

# Unusual sizes.
warning-size-long = { $size_m } is longer than { $limit_m }. Check the unit.
    .many = { $count } sizes are longer than { $limit_m }. Check the units.
warning-size-thin = { $thickness_m } is thinner than { $limit_m }. Check the unit.
    .many = { $count } thicknesses are less than { $limit_m }. Check the units.
warning-size-thick = { $thickness_m } is thicker than { $limit_m }. Check the unit.
    .many = { $count } thicknesses are more than { $limit_m }. Check the units.
warning-size-swapped = The thickness, { $thickness_m }, is more than the width, { $width_m }. Check that they are not swapped.
    .many = { $count } thicknesses are more than the width of their piece. Check that they are not swapped.
warning-size-rail = leaves a rail of only { $rail_m } to { $neighbor }, at x = { $x_m }, y = { $y_m }. Under { $limit_m } it may break.
    .many = { $count } rails are under { $limit_m } and may break. Check the positions of the openings.
warning-askew = is drawn at an angle. Bending is not checked, and its size is that of the box around it. Turn it square to the axes of the drawing.
    .many = { $count } pieces are drawn at an angle. Bending is not checked, and their sizes are those of the boxes around them. Turn them square to the axes of the drawing.
warning-openings-overlap = overlaps { $neighbor }. What they share counts once. Check the positions.
    .many = { $count } openings overlap others. What they share counts once. Check the positions.
warning-insert-outside = The center of the insert is { $distance_m } outside the concrete.
    .many = The centers of { $count } inserts are up to { $distance_m } outside the concrete.
warning-insert-weightless = The insert "{ $insert }" has no mass, and adds nothing to the weight. Enter its mass.
warning-insert-at-seam = The insert "{ $insert }" is centered { $distance_m } from a seam, and all of it counts with one part. If it runs across the seam, the weights of both parts are wrong. Give each part its own insert.
    .many = { $count } inserts are close to seams, and each counts with one part. If one runs across a seam, the weights of both parts are wrong. Give each part its own.

warning-record-torn = { $file }: line { $line } was cut off and is left out. Record it again.
warning-stock-other-lot = Color group { $groups }: { $stock_kg } of { $material_name } in stock is not from lot { $lot } and does not count.
warning-stock-no-lot-covers = Color group { $groups }: { $stock_kg } of { $material_name } in stock does not count. No single lot covers the job.
