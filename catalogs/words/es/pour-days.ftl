# Días de colado: para la cuadrilla de colado, una página por día.

pour-day = Día { $day }
pour-turn = { $pour }, vuelta { $turn }
pour-run = Días { $days }
pour-turns = { $pour }, vueltas { $turns }
pour-days = { $count ->
    [one] día { $days }
   *[other] días { $days }
}

pour-paper = Días de colado
pour-purpose = Para la cuadrilla de colado: una hoja por día de colado. Fechas más tempranas.
pour-of = colado { $number } de { $total }
pour-no-date = ____________
pour-alert = CORRIJA ANTES DE COLAR
pour-after = { $pour } · { $date } · después de colar
pour-facts-days = Días de colado
pour-facts-pieces = Piezas
pour-facts-batches = Tandas
pour-facts-first = Primer colado
pour-facts-crew = Cuadrilla
pour-facts-placing = Colocación (cuadrilla)
pour-facts-mixing = Mezclado
pour-facts-room = Cuarto / mezcla
pour-facts-strip = Desmoldar
pour-days-heading = Días
pour-head-pour = Colado
pour-head-date = Fecha
pour-head-casts = Se cuela
pour-head-batches = Tandas
pour-head-placing = Colocación (cuadrilla)
pour-head-peak = Pico, máx.
pour-head-strip-on = Desmoldar
pour-cast = Colar
pour-head-piece = Pieza
pour-head-forms = Moldes
pour-head-layers = Capas, desde el molde hacia adentro
pour-head-hone = Pulir, máx.
pour-head-sheets = Hojas de mezcla
pour-forms = { $count ->
    [one] 1 molde
   *[other] { $count } moldes
}
pour-batches = Tandas
pour-batches-within = Tandas: coloque cada una antes de { $minutes } min desde la primera agua
pour-head-sheet = Hoja
pour-head-mix = Mezcla
pour-head-volume = Volumen c/u
pour-head-pieces = Piezas
pour-head-placing-time = Colocación
pour-head-within = Coloque antes de
pour-head-water-at = Primera agua
pour-head-place-by = Límite
pour-at-form = En el molde
pour-in-parts = { $marks }: { $batches } tandas de { $mix_name } por pieza. Coloque cada tanda antes de que endurezca la anterior.
pour-cure = Cubrir, desmoldar, curar
pour-keep-covered = Cubra cada pieza con plástico apenas la termine. Meta los bordes debajo.
pour-head-plastic = Plástico en
pour-head-blanket = Manta de curado, calor
pour-head-strip = Desmoldar
pour-head-crew = Desmoldar, voltear
pour-head-wet = Curado húmedo
pour-who-comes = Quién viene en días libres a desmoldar o mantener húmedo:
pour-short = { $pieces } · { $crew }, colocación { $placing }, desmoldar { $strip }

pour-layer = { $wait }{ $mix }, { $thickness }, { $method ->
    [spray] por rociado
    [brush] con brocha
    [hand] a mano
   *[pour] por vaciado
}{ $lifts ->
    [one] {""}
   *[other] {" "}en { $lifts } capas
}
pour-layer-wait = tras { $least }–{ $most } min:{" "}
pour-layer-full = espesor completo
pour-layer-rest = el resto
pour-hone-none = no
pour-date-unknown = no se sabe
pour-date-some-by-test = { $date }, algunas por prueba
pour-peak-unknown = no se sabe
pour-peak-some-unknown = { $peak }, de algunas no se sabe
pour-over-limit = pasa el límite

pour-plastic-within = { $minutes } min
pour-plastic-now = DE INMEDIATO
pour-blanket-yes = SÍ. Pico hasta { $high_c }.
pour-blanket-no = NO. Pico hasta { $high_c }.
pour-blanket-no-hot = NO. Podría llegar a { $high_c }, límite { $limit_c }.
pour-blanket-no-over = NO. Pasaría de { $limit_c }.
pour-blanket-no-apart = NO. Del núcleo a la superficie podría haber { $high_k }, límite { $limit_k }.
pour-blanket-unknown = Solo plástico. Temperatura desconocida.
pour-hot = Se calienta demasiado: podría llegar a { $high_c }, límite { $limit_c }.
pour-hot-over = Se calienta demasiado: pasa de { $limit_c }.
pour-cool-mix = ENFRÍE LA MEZCLA a { $low_c }
pour-cast-layers = CUELE POR CAPAS de { $thickness } máximo, cada una ya fría
pour-cool-or-layers = { $mix } o { $layers }.
pour-cool-only = { $remedy }.
pour-too-hot = DEMASIADO CALOR: no bastan mezcla fría ni capas.
pour-warm-room = CALIENTE EL CUARTO a { $room }, mezcla colocada a { $mix }.
pour-add-heat = AGREGUE CALOR: no basta un cuarto caliente.
pour-how-to-heat = Empiece el calor después del fraguado inicial, no antes de { $hours } h. Suba y baje como máximo { $step } por hora. Mantenga el núcleo bajo { $dry }, bajo { $wet } si la pieza va a mojarse. Mantenga húmeda la pieza.
pour-strip-early = no antes de { $from } h
pour-strip-from = desde { $from } h
pour-strip-by = { $when }, a más tardar { $to } h
pour-strip-note = Desmolde por probetas, no por el reloj.
pour-strip-weak = { $hours ->
    [known] Si pasan las horas y las probetas siguen débiles, no desmolde ni levante.
   *[unknown] Si las probetas salen débiles, no desmolde ni levante.
} Espere y vuelva a probar.
pour-strip-unknown = NO SE SABE: solo por prueba
pour-crew-of = { $marks }: { $crew }
pour-wet-days = { $days ->
    [one] 1 día
   *[other] { $days } días
}
pour-wet-none = no
pour-drying = Evaporación sin cubrir: { $rate_kg_m2_h } (límite { $limit_kg_m2_h }), hasta { $lost_share } del agua en { $minutes } min. { $over ->
    [yes] Cubra de inmediato.
   *[no] Bien.
}
pour-drying-unknown = Humedad desconocida. No se revisó la evaporación.
pour-drying-none = Sin evaporación: el aire está húmedo.
pour-no-trial = Lleva retardante: sin tiempo de desmolde hasta hacer una prueba. Desmolde por probetas.
pour-weekday = { $weekday ->
    [0] lunes
    [1] martes
    [2] miércoles
    [3] jueves
    [4] viernes
    [5] sábado
   *[6] domingo
} de la semana { $week }

cure-plastic = El plástico conserva el agua de la mezcla.
cure-store = Pare de canto las piezas desmoldadas, o acuéstelas sobre separadores, con las dos caras al aire, para que no se alabeen.
cure-no-blanket-hot = Sin manta de curado: podría llegar a { $high_c } (límite { $limit_c }).
cure-no-blanket-over = Sin manta de curado: pasaría de { $limit_c }.
cure-no-blanket-apart = Sin manta de curado: del núcleo a la superficie podría haber { $high_k } (límite { $limit_k }).
cure-blanket = Use la manta de curado: cerca de { $with_share } de la resistencia a 28 días a las { $hours } h, no { $without_share }. Pico hasta { $high_c }.
cure-no-blanket-needed = No hace falta manta de curado: cerca de { $without_share } de la resistencia a 28 días a las { $hours } h sin ella, { $with_share } con ella.
cure-falls = Baja a { $low_c } bajo { $cover ->
    [blanket] la manta de curado
   *[plastic] plástico
}. Mantenga las secciones delgadas a { $needed_c } o más hasta desmoldar. Agregue calor.
cure-strips-late = Sin resistencia para desmoldar en { $hours } h bajo { $cover ->
    [blanket] la manta de curado
   *[plastic] plástico
}. Agregue calor.
cure-stays-warm = Se queda a { $low_c } o más bajo { $cover ->
    [blanket] la manta de curado
   *[plastic] plástico
}.
cure-within-limits = Dentro de los límites sin manta de curado: pico hasta { $high_c }.
cure-overheats-hot = Se calienta demasiado aun sin manta de curado: podría llegar a { $high_c } (límite { $limit_c }). Enfríe la mezcla o cuele por capas.
cure-overheats-over = Se calienta demasiado aun sin manta de curado: pasa de { $limit_c }. Enfríe la mezcla o cuele por capas.
cure-overheats-apart = Del núcleo a la superficie podría haber { $high_k } aun sin manta de curado (límite { $limit_k }). Enfríe la mezcla o cuele por capas.
cure-dry = Sin curado húmedo: sólidos de polímero { $solids_share }.
cure-wet = Curado húmedo { $days ->
    [one] 1 día
   *[other] { $days } días
}: sólidos de polímero { $solids_share } (para omitirlo hace falta { $needed_share }). Anótelo en el registro si no lo hace.
cure-not-strong = Sin resistencia para desmoldar en tres días.
cure-unknown = Temperatura desconocida. Ponga un termómetro en una pieza de prueba.
cure-unmodeled-cement = Temperatura desconocida con cemento de { $kind ->
    [calcium-aluminate] aluminato de calcio
   *[calcium-sulfoaluminate] sulfoaluminato de calcio
}: calienta más rápido que el portland. Ponga un termómetro en una pieza de prueba de espesor completo.
cure-unmodeled-no-cement = Temperatura desconocida: la mezcla no lleva cemento. Ponga un termómetro en una pieza de prueba.
cure-unmodeled-water = Temperatura desconocida: a/mc { $water_ratio } está fuera de { $least_ratio } a { $most_ratio }. Ponga un termómetro en una pieza de prueba.
cure-unmodeled-density = Temperatura desconocida: densidad seca { $dry_kg_m3 } fuera de { $lightest_kg_m3 } a { $heaviest_kg_m3 }. Ponga un termómetro en una pieza de prueba.
cure-unmodeled-analysis = Temperatura desconocida: sin certificado del molino para { $material_names }. Ponga un termómetro en una pieza de prueba de espesor completo.
cure-unmodeled-thickness = Temperatura desconocida: una sección de { $section_m } está fuera de { $thinnest_m } a { $thickest_m }. Ponga un termómetro en una pieza de prueba.
