# Lo que comparten todas las hojas de la cuadrilla.

crew = { $people ->
    [one] 1 persona
   *[other] { $people } personas
}
machine-only = solo con máquina
no-price = sin precio
full-buckets = { $count ->
    [one] 1 cubeta llena
   *[other] { $count } cubetas llenas
}
unreviewed = Ningún hablante nativo ha revisado esta traducción. En caso de duda, pregunte en el taller.
about = { $subject }: { $text }
    .fix = { $text }

foot-issue = { $day_date }, revisión { $revision }
foot-revision = revisión { $revision }
foot-page = página { $number }
foot-total = de { $count }

marks = { $marks }{ $more ->
    [0] { "" }
   *[other] { " " }y { $more } más
}
