# Labels on the pieces.

labels-title = Labels
label-count = { $number } of { $count }
label-max = MAX { $high_kg }
label-bare = piece only
label-crate = In crate max { $high_kg }
label-carry = { $people ->
    [one] 1-person carry
   *[other] { $people }-person carry
}
label-by-machine = DO NOT LIFT BY HAND
label-machine = Machine only, { $gear }.
label-by-gear = { $lies ->
    [face-up] Flat, face up. Nobody under it.
    [level] Level. Nobody under it.
   *[rigger] A qualified rigger decides how.
}
label-checks = { $count ->
    [one] See check { $numbers } on the lift sheet
   *[other] See checks { $numbers } on the lift sheet
}
label-trip = Trip { $trip } · { $rack }
label-most = labels of { $count } of { $pieces } pieces, the most in one file
label-page = page { $page } of { $pages }
