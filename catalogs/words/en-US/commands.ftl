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

# quick: a budget price without a job file.
quick-piece = { $count ->
    [one] { $size }
   *[other] { $count } × { $size }
}{ $sinks ->
    [0] { "" }
    [one] , one sink
   *[other] , { $sinks } sinks
}, { $plan_m2 } plan area{ $count ->
    [one] { "" }
   *[other] { " " }each
}. { $mixes }.
quick-weight = Weight   { $installed_kg } installed, { $by_area_kg_m2 }. Max. lift { $high_kg }, { $crew }.
quick-price = Price    { $low } to { $high } before tax. Minimum charge { $minimum_price }.
quick-charge = {"         "}{ $used_price } if you charge the material used, { $bought_price } if you charge full packages.
quick-by-area = Per { $unit }{ $units ->
    [imperial] {"  "}
   *[metric] {"   "}
}{ $low } to { $high }: { $used } by material used, { $bought } by full packages.
quick-labor = Hours    { $hours } h, with template, delivery and installation.
quick-budget = Budget price, not a firm quote.

# measure: one drawing or mesh.
measure-title = { $file }: { $kind }, { $size }
measure-area = {"  "}area       { $area_m2 }
measure-perimeter = {"  "}perimeter  { $perimeter_m } with holes
measure-outline = {"  "}outline { $number }: { $area_m2 }, { $holes ->
    [one] 1 hole
   *[other] { $holes } holes
}
measure-volume = {"  "}volume     { $volume_m3 }
measure-centroid = {"  "}centroid   { $place }
measure-surface = {"  "}surface    { $area_m2 }
measure-facets = {"  "}facets     { $count }
measure-bodies = {"  "}bodies     { $count }
measure-bodies-not-counted = {"  "}bodies     not counted (use --bodies)
measure-note = {"  "}note: { $text }

# history: finished jobs against their estimates.
history-title = { $count ->
    [one] 1 job, actual vs. estimate
   *[other] { $count } jobs, actual vs. estimate
}
history-unplanned = Recorded, but not in the estimate: { $tasks }.
history-incomplete = Records are not complete. No rates come from: { $jobs }. When all is recorded, run record JOB finished.
history-missing-batches = { $job }: { $recorded } of { $planned } batches of { $mix_name } recorded. No waste comes from this job. Record the rest, or the material used.
history-remakes-unpriced = Remakes without a cost: { $remakes }. No remake allowance comes from these jobs.
history-hint = One or two jobs are only a hint. Change a rate when several agree.

# explain, compare, new.
explain-source = {"  "}source: { $source }
compare-title = { $name }, in { $currency }
new-written = Wrote { $file }. Next: cast-estimator estimate { $file }
new-head = Read from { $files }. Add what the files do not say: drop edges, finish, use, quantity.
new-head-quantities = Quantities are text with a unit. A share is a plain number or text with %.
new-mix = 45% of the sand replaced by beads, by volume
new-piece = { $size }{ $holes ->
    [0] {""}
    [one] , 1 hole
   *[other] , { $holes } holes
}
new-mesh = { $file }: 1 piece, { $size }, { $volume_m3 }.
new-table = { $file }: a piece a row.
left-out-label = { $reason ->
    [border] border
    [title-block] title block
    [unmarked] no mark
    [other-layer] other layer
    [hole-alone] hole outside a piece
    [bowl] inside a hole
   *[twice] drawn twice
}

record-count = { $file }: { $count ->
    [one] 1 record
   *[other] { $count } records
  }.
record-written = { $file }: record added ({ $kind }).

# Pictures of a file.
picture-front = front
picture-right = right
picture-top = top
picture-centroid = { $count ->
    [one] centroid { $x_m } from the left, { $y_m } from the front
   *[other] centroid of all together { $x_m } from the left, { $y_m } from the front
}
picture-centroid-3d = centroid { $x_m } from the left, { $y_m } from the front, { $z_m } up

store-backed-up = { $file }: backup written.
store-restored = { $file }: records restored. The records before are in { $before }.
store-exported = { $file }: { $count ->
    [one] 1 record
   *[other] { $count } records
  } written.
