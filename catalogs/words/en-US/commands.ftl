# What the commands say.

show-with-json = does not go with --json.
    .fix = Leave out --show and --full, or leave out --json.
show-unknown = there is no table "{ $name }".
    .fix = Choose from { $names }.
check-passed = { $file }: no faults, { $marks ->
    [one] 1 piece mark
   *[other] { $marks } piece marks
}, { $mixes ->
    [one] 1 mix
   *[other] { $mixes } mixes
}.

# Beside the progress bar.
progress-reading = Reading { $file }
progress-estimating = Estimating { $file }
progress-papers = Writing papers
progress-paper = Writing { $name }
