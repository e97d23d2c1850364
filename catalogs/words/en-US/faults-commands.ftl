# Faults of the command line: options, records, pictures and what is compared.

option-unknown = "{ $value }" is not known.
    .fix = { $nearest }
option-unit = "{ $value }" is not a unit of length.
    .fix = { $nearest }
option-not-positive = "{ $value }" must be more than 0.
    .fix = Enter a length above 0.
option-for-drawings = is for drawings only.
    .fix = Remove the option.
option-for-meshes = is for meshes only.
    .fix = Remove the option.
option-wall-without-thickness = needs the height of the drawn piece.
    .fix = Add --thickness.
option-open-without-wall = is for a shell only.
    .fix = Add --wall.
option-workings-without-json = needs --json.
    .fix = Write --json --workings, or use explain.
option-pieces-without-job = Pieces need a job.
    .fix = Add --job job.toml.
option-piece-without-job = needs a job.
    .fix = Add --job job.toml.
option-weight-without-piece = needs a piece.
    .fix = Add --job job.toml --piece C1.
option-container-missing = is missing.
    .fix = { $units ->
        [imperial] Give the volume of the container, such as --container "0.25 ft^3".
       *[metric] Give the volume of the container, such as --container "10 L".
    }
option-file-without-mix = needs one mix.
    .fix = Write mix coupons NAME --file coupons.csv.
option-range = "{ $value }" is not a range.
    .fix = Write "0.30 to 0.36".
option-range-of-lengths = "{ $value }" is not a range.
    .fix = { $units ->
        [imperial] Write "5/8 in to 1 in".
       *[metric] Write "16 mm to 25 mm".
    }
option-range-downward = "{ $value }" runs downward.
    .fix = Write the lower limit first.

mix-not-cast = no piece here is cast in { $mix }.
    .fix = { $nearest }
mixes-not-cast = no piece is cast in { $mixes }.
    .fix = Name the mix to replace, such as --in-place-of { $example }.
pieces-not-in-mix = these pieces are not cast in { $mix }.
    .fix = Name other pieces.
piece-not-in-mix = { $mark } is not cast in { $mix }.
    .fix = Name { $mixes }.
mixes-without-coupons = has no mix with coupons.
    .fix = Name a mix, or add [[mixes.NAME.coupons]] to the job.

# Sizes of a batch.
batch-mass-of-what = "{ $size }" does not say which mass.
    .fix = Write "{ $size } counted" (dry, as if all sand) or "{ $size } total".
batch-size-unreadable = "{ $size }" is not a batch size.
    .fix = { $units ->
        [imperial] Write "100 lb counted", "100 lb total", "2 ft^3", "3 bags of white-cement" or "pieces C1,C2".
       *[metric] Write "50 kg counted", "50 kg total", "60 L", "3 bags of white-cement" or "pieces C1,C2".
    }
batch-material-unknown = { $material } is not in { $mix }.
    .fix = { $nearest }
batch-pack-unknown = { $material } has no package "{ $unit }".
    .fix = { $count ->
        [0] Write a mass.
       *[other] Write { $packs }, or a mass.
    }
batch-pack-without-mass = The { $pack } of { $material } has no mass.
    .fix = Add the mass to the package.

# mix solve.
solve-one-goal = needs exactly one goal.
    .fix = Give --weight, --density or --least-cost.
solve-thickness = The piece can't be built at this thickness: { $text }
    .fix = { $text }
solve-no-thickness = its shape has no thickness of its own.
    .fix = Remove --thickness.

# Records.
record-kind = "{ $kind }" is not a kind of record.
    .fix = { $nearest }
record-field = "{ $field }" is not name=value.
    .fix = Write name=value, such as { $example }.
record-masses = masses can't be given as one value.
    .fix = { $units ->
        [imperial] Give every material, such as white-cement="52 lb".
       *[metric] Give every material, such as white-cement="24 kg".
    }
records-none = There are no records. { $files } is missing.
    .fix = Add records with `record`.
job-named-twice = is named twice.
    .fix = Name every job once.
bucket-not-recorded = no bucket of { $mix } was weighed.
    .fix = Give --container and --gross, or record { $job } bucket mix={ $mix } and its weights.
bucket-incomplete = The bucket of { $at } is incomplete.
    .fix = Weigh again.
batch-not-recorded = There is no record of batch "{ $batch }" of { $mix }.
    .fix = Record the batch, or remove --batch.

compare-currency = is { $code }, but the first job has { $first }.
    .fix = Compare jobs in one currency.
quick-size = "{ $value }" is not a length and a width.
    .fix = { $units ->
        [imperial] Write 96x25.5.
       *[metric] Write 2440x650.
    }
quick-unit-unlikely = "{ $value }" is { $unit ->
        [in] longer than 20 ft in inches
       *[mm] shorter than 150 mm in millimeters
    }.
    .fix = { $unit ->
        [in] For millimeters, add --units metric. For inches, write "{ $length } in x { $width } in".
       *[mm] For inches, leave out --units metric. For millimeters, write "{ $length } mm x { $width } mm".
    }
quick-sink = { $count ->
        [one] A sink does not fit this size.
       *[other] { $count } sinks do not fit this size.
    } A sink needs { $length_m } × { $width_m } and { $rim_m } of rail all around.
    .fix = Write a job file for a smaller sink.

# Files to read and to write.
file-kind-unknown = "{ $ending }" is not a kind of file that can be measured.
    .fix = Use { $endings }.
file-not-written = could not be written ({ $reason }).
    .fix = Check the folder and its permissions.
folder-none = there is no folder "{ $name }".
    .fix = Create the folder first.
picture-format = Can't write "{ $name }".
    .fix = Use a name ending in .svg or .png.
picture-overwrites = "{ $name }" is there already.
    .fix = Choose another name.

warning-record-unchecked = { $job } can't be read. The names in this record are not checked.

figure-unknown = there is no such figure.
    .fix = Write a path such as cost.price. All of them stand in `estimate --json`.
figure-unknown-near = there is no such figure.
    .fix = Did you mean "{ $near }"?
record-gross = gross is { $gross_kg }, not more than tare, { $tare_kg }.
    .fix = Weigh the container empty (tare) and full (gross).

# The run itself. $reason is what the computer says.
machine-refused = { $reason }. Free some space, or check the permissions.
machine-refused-file = { $file }: { $reason }. Free some space, or check the permissions.
call-option-unknown = there is no such option.
    .fix = { $nearest }
call-option-value = needs a value after it.
    .fix = Write one, or remove the option.
call-option-no-value = takes no value.
    .fix = Write the option alone.
call-missing = is missing.
    .fix = See `{ $command } --help`.
call-number = "{ $value }" is not allowed.
    .fix = Write a whole number { $most ->
        [none] of at least { $least }
       *[other] from { $least } to { $most }
    }.
call-command = There is no command "{ $name }".
    .fix = { $nearest }
call-too-many = Too many words: { $words }.
    .fix = Put a name with spaces in quotes. See `{ $command } --help`.
call-refused = { $reason }.
    .fix = See `{ $command } --help`.
run-stopped = stopped.
internal-error = Internal error (not your job file). { $kind }: { $reason } Run again with CAST_ESTIMATOR_DEBUG=1 to see where.
new-name-taken = Two files in one folder cannot be named { $name }.
    .fix = Rename one of them.
new-no-thickness = A drawing has no thickness.
    .fix = Give it with --thickness "1 in".
new-without-from = This option goes with --from.
    .fix = Name the drawings, models and tables with --from, or leave the option out.

# lighten
lighten-people-or-weight = gives both --people and --weight.
    .fix = Give one of them.
lighten-apply-needs-piece = needs --piece.
    .fix = Add --piece MARK.
lighten-no-option = There is no option { $number } ({ $most } listed).
    .fix = Run the command without --apply to see the list.
lighten-accept = Option { $number } may crack, not tested.
    .fix = Test coupons of the mix first, or add --accept-untested.
lighten-accept-alone = belongs with --apply.
    .fix = Add --apply NUMBER, or leave it out.
lighten-not-in-file = { $mark } is not written in { $file }, so it cannot be changed there.
    .fix = Change { $mark } in the file that lists it.
lighten-differs = The edited file would not give the parts of option { $number }. Nothing was saved.
    .fix = Edit the job file by hand.
