# Was nicht als sicher nachgewiesen ist: je eine Zeile.

doubt-access = Passt vielleicht nicht hindurch ({ $about }). Vor dem Verladen vor Ort messen. Nie mit Gewalt.
doubt-bending-not-checked = Biegung für diese Form nicht geprüft. Eine befähigte Person entscheidet.
doubt-bending-over-core = Biegung nicht geprüft. Der Schaumkern trägt nichts, und seine Lage ist nicht bekannt. Eine befähigte Person entscheidet.
doubt-carry-not-enough = Kann reißen: { $about }. Nicht fest genug. So nicht bewegen.
doubt-carry-too-young = Festigkeit erst nach { $days ->
    [one] 1 Tag
   *[other] { $days } Tagen
} geprüft. Kann reißen, wenn das Teil früher bewegt wird.
doubt-carry-untested = Kann beim Tragen reißen. Festigkeit des Betons nicht geprüft.
doubt-coupons-too-thin = Kann beim Tragen reißen. Beton nur mit { $thickness_m } Dicke geprüft. Zuerst Prüfkörper so dick wie das Teil prüfen.
doubt-floor-over = Über der zulässigen Deckenlast. Dort erst versetzen, wenn ein Statiker zustimmt.
doubt-holds-off-balance = Der Schwerpunkt liegt außerhalb des Teils. { $points ->
    [0] Mindestens drei Hebepunkte um ihn herum oder eine Versteifung benutzen. Jeder Strang oder jede Hand zählt als einer.
   *[other] An allen { $points } Hebepunkten seines Blatts heben, nie an weniger.
}
doubt-insert-not-enough = Die Transportanker sind nicht stark genug. Mehr oder stärkere Anker nehmen.
doubt-insert-untested = Tragfähigkeit der Transportanker nicht bekannt.
doubt-over-bed = { $about }: größer als die Ladefläche. Größeren LKW nehmen.
doubt-over-pallet = { $about }: größer als eine Palette. Größere Unterlage nehmen.
doubt-over-rack = { $about }: dicker, als eine Seite des A-Bocks fasst. Kiste oder breiteres Gestell nehmen.
doubt-overhang-unsupported = Der Überstand braucht eine Unterplatte oder Konsolen.
doubt-pads-core = Keine Vakuumsauger über einem Kern. Anderes Gerät benutzen.
doubt-pads-no-place = Kein Platz für die Vakuumsauger auf diesem Teil. Mehr oder kleinere Sauger nehmen.
doubt-pads-not-enough = Reißt an den Vakuumsaugern. Nicht fest genug. So nicht heben.
doubt-pads-not-measured = Unterdruck und Dichtheit der Sauger sind auf dieser Fläche nicht gemessen. Vor dem Heben beides messen.
doubt-pads-untested = Kann an den Vakuumsaugern reißen. Festigkeit des Betons nicht geprüft.
doubt-picks-core = Keine Anschlagpunkte. Ein Schaumkern ist eingegossen. Ein befähigter Anschläger hebt nur an vollen Rippen.
doubt-picks-near-cutout = Anschlagpunkt zu nah an einem Ausschnitt ({ $distance_m }). Ein befähigter Anschläger entscheidet.
doubt-picks-no-room = Keine Anschlagpunkte. Kein Platz abseits der Ausschnitte. Ein befähigter Anschläger entscheidet.
doubt-picks-no-shape = Keine Anschlagpunkte für diese Form. Ein befähigter Anschläger entscheidet.
doubt-picks-no-strength = Keine Anschlagpunkte. Das Teil würde an Strängen reißen. Auf der Palette oder in der Form bewegen.
doubt-rating-missing = Tragfähigkeit nicht bekannt: { $about }.
doubt-rating-over = Über der Tragfähigkeit: { $about }. Nicht belasten. Gerät mit höherer Tragfähigkeit nehmen.
doubt-slings-not-enough = Reißt beim Heben: { $about }. Nicht fest genug. So nicht heben.
doubt-slings-untested = Kann beim Heben reißen: { $about }. Festigkeit des Betons nicht geprüft.
doubt-tips-off-support = Kippt durch sein Eigengewicht vom Auflager. Befestigen oder den Überstand unterstützen.
doubt-walls-not-checked = Wände des Pflanzkübels für diese Form nicht geprüft. Innenrahmen oder Zuganker einsetzen.
doubt-walls-not-enough = Die Wände des Pflanzkübels können unter nasser Erde reißen. Innenrahmen oder Zuganker einsetzen.
doubt-walls-untested = Pflanzkübel: Festigkeit des Betons der Wände nicht geprüft. Innenrahmen oder Zuganker einsetzen.
gear = { $gear ->
    [A-frame] A-Bock
    [elevator] Aufzug
    [forklift] Stapler
    [pallet] Palette
    [sling-leg] Anschlagmittel
   *[truck] LKW
}

rigged = { $way ->
    [own-picks] Anschlagpunkte der Werkstatt
    [slings-around] Stränge um das Teil
    [two-picks] zwei Anschlagpunkte
    [three-picks] drei Anschlagpunkte
    [four-picks] vier Anschlagpunkte
   *[rim] Anschlagpunkte am Rand
}

held-flat-ends = flach an den Enden getragen
held-flat-fifths = flach getragen, auf ein Fünftel von den Enden gefasst
held-edge-ends = hochkant an den Enden getragen
held-edge-fifths = hochkant getragen, auf ein Fünftel von den Enden gefasst
held-tilted = über die lange Kante aufgestellt
held-rails = gehalten mit frei hängenden offenen Stegen

list = { $items }
