# Etiketten der Teile.

labels-title = Etiketten
label-count = { $number } von { $count }
label-max = MAX. { $high_kg }
label-bare = nur das Teil
label-crate = In der Kiste max. { $high_kg }
label-carry = { $people ->
    [one] Tragen: 1 Person
   *[other] Tragen: { $people } Personen
}
label-by-machine = NICHT VON HAND HEBEN
label-machine = Nur maschinell: { $gear }.
label-by-gear = { $lies ->
    [face-up] Flach, Sichtseite oben. Niemand darunter.
    [level] Waagerecht. Niemand darunter.
   *[rigger] Ein befähigter Anschläger entscheidet, wie.
}
label-checks = { $count ->
    [one] Siehe Punkt { $numbers } der Hebeanweisung
   *[other] Siehe Punkte { $numbers } der Hebeanweisung
}
label-trip = Fahrt { $trip } · { $rack }
label-most = Etiketten von { $count } von { $pieces } Teilen, mehr fasst eine Datei nicht
label-page = Seite { $page } von { $pages }
