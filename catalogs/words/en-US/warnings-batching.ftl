# Warnings and faults of planning batches.

loss-fills-mixer = fills the whole mixer with { $mix_name }.
    .fix = Correct it, or the mixer's volume.
pot-life-too-short = { $mix_name } must be placed within { $within_s } of first water, and mixing and carrying alone take { $lead_s }.
    .fix = Cool the mix, or time a retarder.
too-few-hands = { $why } { $most } people are too few.
    .fix = Cool the mix, use a retarder, use a larger mixer, or cast it in parts. For more people set crew_most in [workshop.placing].
# Why a piece cannot be cast by its usual crew.
late-in-parts = { $mix_name } takes { $batches } batches, and a face placed in parts shows a line.
late-next-layer = { $mix_name } waits { $wait_s } for its next layer (max { $most_s }).
warning-more-hands = { $mark }: { $why } Plan { $crew } people to place it, not { $usual }. Or cool the mix, or use a retarder.
warning-day-too-full = { $pour }: mixing and placing take { $crew } people { $taken_s }. The day has { $day_s }. Name pours, add people or use a larger mixer.
    .many = { $pour }: mixing and placing take { $crew } people up to { $taken_s }. The day has { $day_s }. Name pours, add people or use a larger mixer.
warning-piece-split = { $mark } takes { $batches } batches of { $mix_name }. Place each before the last one stiffens, within { $within_s } of its first water.
    .many = { $mark } take up to { $batches } batches each of { $mix_name }. Place each before the last one stiffens, within { $within_s } of its first water.
warning-batch-sizes-differ = { $pour }, color group { $group }: batches of { $mix_name } differ in size by { $difference_share }. Weigh pigment and water with extra care.
warning-batch-short = { $pour }, { $mix_name }: as weighed, a batch comes out { $short_share } short. Use a finer scale.
warning-scale-too-coarse = { $pour }, { $mix_name }: the scale is off by { $off_share } for { $material_name }. Use a finer scale or a marked measure.
warning-batch-too-small = { $batches ->
    [one] { $mix_name }: 1 batch is too small for the mixer ({ $smallest_kg }, { $pours }). It fills less than { $least_fill_share } of it. Mix it in a bucket with a drill, or combine pours.
   *[other] { $mix_name }: { $batches } batches are too small for the mixer (smallest { $smallest_kg }, { $pours }). They fill less than { $least_fill_share } of it. Mix them in a bucket with a drill, or combine pours.
}
    .many = Batches are too small for the mixer ({ $mix_name }, { $pours }). Mix them in a bucket with a drill, or combine pours.
