# Was alle Blätter der Kolonne gemeinsam haben.

crew = { $people ->
    [one] 1 Person
   *[other] { $people } Personen
}
machine-only = nur maschinell
no-price = kein Preis
full-buckets = { $count ->
    [one] 1 voller Eimer
   *[other] { $count } volle Eimer
}
unreviewed = Diese Übersetzung hat noch kein Muttersprachler geprüft. Im Zweifel in der Werkstatt fragen.
about = { $subject }: { $text }
    .fix = { $text }

foot-issue = { $day_date }, Revision { $revision }
foot-revision = Revision { $revision }
foot-page = Seite { $number }
foot-total = von { $count }

marks = { $marks }{ $more ->
    [0] { "" }
   *[other] { " " }und { $more } weitere
}
