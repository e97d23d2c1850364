# What every paper, command and message shares.

crew = { $people ->
    [one] 1 person
   *[other] { $people } people
}
machine-only = machine only
no-price = no price
full-buckets = { $count ->
    [one] 1 full bucket
   *[other] { $count } full buckets
}
unreviewed = This translation has not been checked by a native speaker. If in doubt, ask the shop.

warning = warning: { $text }

# A message that another one is about.
about = { $subject }: { $text }
    .fix = { $text }

# What a file, or a value in a table, is at fault for.
part-leg = { $piece }, waterfall leg
part-splash = { $piece }, backsplash
of-file = { $file }: { $text }
    .fix = { $text }

not-finite = is not a finite number.
    .fix = Enter a length.
not-positive = is { $length_m }.
    .fix = It must be more than 0.

# Two sentences, one after the other.
sentences = { $first } { $second }

# The foot of every page.
foot-issue = { $day_date }, revision { $revision }
foot-revision = revision { $revision }
foot-page = page { $number }
foot-total = of { $count }

# What to type in place of a name that is not known.
did-you-mean = Did you mean `{ $name }`?
names-known = Known here: { $names }{ $more ->
    [0] .
   *[other] {" "}and { $more } more.
}
names-none = None are defined here.

# Names, cut off after a few: "C1, C2, P1 and 4 more".
marks = { $marks }{ $more ->
    [0] { "" }
   *[other] { " " }and { $more } more
}
