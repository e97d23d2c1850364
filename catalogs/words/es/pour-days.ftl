# Días de colado: para la cuadrilla de colado, una página por día.

pour-day = Día { $day }
pour-turn = { $pour }, vuelta { $turn }
pour-days = { $count ->
    [one] día { $days }
   *[other] días { $days }
}
