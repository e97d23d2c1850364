# Lo que no se ha demostrado seguro: una línea cada uno.

doubt-access = Puede que no pase ({ $about }). Mida en la obra antes de subirla al camión. Nunca la fuerce.
doubt-bending-not-checked = No se revisó la flexión de esta forma. Decide una persona calificada.
doubt-bending-over-core = No se revisó la flexión. El núcleo de espuma no carga nada y no se sabe dónde está. Decide una persona calificada.
doubt-carry-not-enough = Puede agrietarse al { $about }. No tiene la resistencia. No la mueva así.
doubt-carry-too-young = Resistencia probada solo a { $days ->
    [one] 1 día
   *[other] { $days } días
}. Puede agrietarse si se mueve antes.
doubt-carry-untested = Puede agrietarse al cargarla. La mezcla no tiene prueba de resistencia.
doubt-coupons-too-thin = Puede agrietarse al cargarla. La mezcla solo se probó con { $thickness_m } de espesor. Pruebe antes probetas tan gruesas como la pieza.
doubt-floor-over = Pasa de la carga indicada para el piso. No la coloque ahí hasta que un ingeniero con licencia esté de acuerdo.
doubt-holds-off-balance = El centro de gravedad queda fuera de la pieza. { $points ->
    [0] Use al menos tres puntos de izaje alrededor de él, o una viga de refuerzo. Cada ramal o mano cuenta como uno.
   *[other] Levántela de los { $points } puntos de izaje de su hoja, nunca de menos.
}
doubt-insert-not-enough = Los insertos de izaje no tienen la resistencia. Use más insertos o más fuertes.
doubt-insert-untested = No hay capacidad de carga registrada para los insertos de izaje.
doubt-over-bed = { $about }: más grande que la plataforma del camión. Use un camión más grande.
doubt-over-pallet = { $about }: más grande que una tarima. Use una base más grande.
doubt-over-rack = { $about }: más gruesa de lo que cabe en un lado del caballete. Use una caja o un rack más ancho.
doubt-overhang-unsupported = El voladizo necesita una base o ménsulas.
doubt-pads-core = No ponga ventosas sobre un núcleo. Use otro equipo.
doubt-pads-no-place = No hay lugar para las ventosas en esta pieza. Use más ventosas o más chicas.
doubt-pads-not-enough = Se agrieta con las ventosas. No tiene la resistencia. No la levante así.
doubt-pads-not-measured = No se midió el vacío en esta cara, ni cuánto aguantan las ventosas. Mida las dos cosas antes de levantar.
doubt-pads-untested = Puede agrietarse con las ventosas. La mezcla no tiene prueba de resistencia.
doubt-picks-core = Sin puntos de izaje. Lleva un núcleo de espuma. Un aparejador calificado la toma solo de los nervios macizos.
doubt-picks-near-cutout = Punto de izaje muy cerca de una abertura ({ $distance_m }). Decide un aparejador calificado.
doubt-picks-no-room = Sin puntos de izaje. No hay lugar lejos de los cortes. Decide un aparejador calificado.
doubt-picks-no-shape = Sin puntos de izaje para esta forma. Decide un aparejador calificado.
doubt-picks-no-strength = Sin puntos de izaje. La pieza se agrietaría con eslingas. Muévala en tarima o en su molde.
doubt-rating-missing = No hay capacidad de carga registrada para { $about }.
doubt-rating-over = Pasa de la capacidad de { $about }. No cargue. Use equipo de más capacidad.
doubt-slings-not-enough = Se agrieta con { $about }. No tiene la resistencia. No la levante así.
doubt-slings-untested = Puede agrietarse con { $about }. La mezcla no tiene prueba de resistencia.
doubt-tips-off-support = Se vuelca de su apoyo por su propio peso. Fíjela o apoye el voladizo.
doubt-walls-not-checked = No se revisaron las paredes de la jardinera de esta forma. Use un marco interior o un tirante.
doubt-walls-not-enough = Las paredes de la jardinera pueden agrietarse con la tierra mojada. Use un marco interior o un tirante.
doubt-walls-untested = La mezcla de las paredes de la jardinera no tiene prueba de resistencia. Use un marco interior o un tirante.

gear = { $gear ->
    [A-frame] el caballete
    [elevator] el elevador
    [forklift] el montacargas
    [pallet] la tarima
    [sling-leg] las eslingas
   *[truck] el camión
}

rigged = { $way ->
    [own-picks] los puntos de izaje del taller
    [slings-around] las eslingas
    [two-picks] dos puntos de izaje
    [three-picks] tres puntos de izaje
    [four-picks] cuatro puntos de izaje
   *[rim] puntos de izaje en el borde
}

held-flat-ends = cargarla plana por los extremos
held-flat-fifths = cargarla plana, tomada a un quinto de los extremos
held-edge-ends = cargarla de canto por los extremos
held-edge-fifths = cargarla de canto, tomada a un quinto de los extremos
held-tilted = pararla sobre su borde largo
held-rails = sostenerla con las tiras abiertas en el aire

list = { $items }
