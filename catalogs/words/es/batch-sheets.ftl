# Hojas de mezcla: para el operador de la mezcladora, una página por receta.

batch-paper = Hojas de mezcla
batch-purpose = Para el operador de la mezcladora: una página por receta, en orden de colado.
batch-list-pours = Colados
batch-list-batches = Tandas
batch-list-within = Coloque antes de
batch-of-first-water = { $minutes } min desde la primera agua
batch-of-first-water-span = { $least } a { $most } min desde la primera agua
batch-pours = Colados
batch-sheets = Hojas
batch-head-sheet = Hoja
batch-head-pour = Colado
batch-head-mix = Mezcla
batch-head-batches = Tandas
batch-head-volume = Volumen c/u
batch-head-weight = Peso c/u
batch-head-pieces = Piezas
batch-head-earliest = Fecha más temprana
batch-head-casts = Se cuela

batch-role-face = CAPA FRONTAL
batch-role-backer = RESPALDO
batch-role-whole = ESPESOR COMPLETO
batch-each-day = Repita
batch-each-day-value = cada uno de { $days } días
batch-make = { $count ->
    [one] Haga 1 tanda
   *[other] Haga { $count } tandas
}
batch-days = { $count } días
batch-ticks = Marque cada tanda al cargarla
batch-ticks-density = Casilla derecha: peso de la cubeta llena en la prueba de densidad.
batch-sheet-of = hoja { $number } de { $total }
batch-for = Para { $pieces }
batch-one = Una tanda
batch-place = Plazo desde el agua
batch-place-value = { $minutes } min
batch-placing = Tiempo de colocación
batch-placing-value = { $minutes } min, { $crew }
batch-wait-after-face = Espera tras la capa frontal
batch-wait-after-layer = Espera tras la capa anterior
batch-wait-value = { $least }–{ $most } min
batch-next = Respaldo antes de
batch-next-layer = Capa siguiente antes de
batch-next-value = { $minutes } min
batch-left-over = Sobrante para
batch-coupons = { $count ->
    [one] 1 probeta
   *[other] { $count } probetas
}
batch-samples = { $count ->
    [one] 1 muestra
   *[other] { $count } muestras
}

load-material = cargue en este orden
load-take = pese por tanda
load-weighed = pesado
load-batch = tanda { $number }
load-lot = lote
load-lot-from = desde el día
load-water-first = Agua, primera parte
load-water-held = Agua, reservada
load-as-needed = solo lo necesario
load-loose = unos { $volume } sueltos
load-beads-weigh = control { $mass }
load-reads = la báscula marca { $mass }
scale-floor = báscula de piso
scale-bench = báscula de banco
scale-gram = balanza de gramos
scale-only = báscula
scale-shows = { $most ->
    [none] marca { $step }
   *[other] marca { $step }, hasta { $most }
}

ppe-respirator = Respirador
ppe-eyes = Protección de ojos
ppe-gloves = Guantes impermeables
ppe-boots = Botas
ppe-ears = Protección de oídos
ppe-unplug = Desenchufe antes de tocar

check-heading = Prueba de densidad, antes de colocar
check-says = La cubeta de { $measure } enrasada debe pesar { $weight } con cubeta ({ $low }–{ $high }).
check-weighed = Pesó: _________
check-how = Use una cubeta cuyo volumen midió con agua. Golpee los lados y enrase. No vibre. Pésela en la { $scale }.
check-people = { $people ->
    [one] Una persona levanta la cubeta llena.
   *[other] Entre { $people } personas levantan la cubeta llena.
}
check-indication = Solo una prueba aproximada. No corrija la mezcla por ella.
check-outside = ¿Sigue fuera del rango? No coloque la tanda. Avise a la oficina.
check-none = Sin prueba de densidad: esta tanda no llena la cubeta más chica.
steps-heading = En la mezcladora
cautions-heading = Precauciones
cautions-elsewhere = Precauciones: vea la hoja { $sheet }.
batch-too-small-note = Muy poca para la mezcladora. Mezcle en una cubeta con taladro.
batch-overshot = ¿Se pasó más de { $over_share }? Sáquelo mientras está seco. Si ya está mezclado, no coloque la tanda.

step-load-sand = Cargue primero la arena.
step-load-beads = Agregue las perlas por cubeta, sueltas y enrasadas. Manda la cubeta. ¿El peso difiere más de { $off_share }? Pregunte antes.
step-load-powders = Agregue el cemento y los demás polvos.
step-add-water = { $liquids ->
    [yes] Agregue la primera agua y los líquidos. Mezcle hasta que no queden grumos secos.
   *[no] Agregue la primera agua. Mezcle hasta que no queden grumos secos.
}
step-begin-water = { $liquids ->
    [yes] Vierta la primera agua y los líquidos.
   *[no] Vierta la primera agua.
}
step-stir-powders = Mezcle el aditivo en polvo y el pigmento.
step-add-cement = Agregue el cemento y la puzolana. Mezcle hasta que no queden grumos.
step-add-sand = Agregue la arena.
step-hold-back = Agregue del agua reservada solo lo necesario. Anote lo que queda en la jarra.
step-fiber-last = Agregue la fibra al final. Incorpórela y pare.
step-fiber-last-slow = Agregue la fibra al final, a baja velocidad. Incorpórela y pare.

advice-plain_face = Capa frontal: sin fibra ni perlas, así el pulido no las descubre.
advice-filled_face = Sin capa frontal: el pulido descubre fibra y perlas. Déjela como sale, o pida una capa frontal.
advice-fingerprint = Empiece el respaldo cuando la capa frontal marque la huella del dedo sin embarrarse, dentro del tiempo indicado.
advice-face_round = Ponga el respaldo a todas las piezas de esta tanda antes de mezclar la siguiente capa frontal.
advice-set_face = Nunca ponga respaldo sobre una capa frontal fraguada: se despega. Ráspela y rocíe de nuevo.
advice-passes = Espesor máximo por capa como se indica. Pase el rodillo para unir cada capa con la de abajo.
advice-honing = No pula más de lo indicado o saldrán fibra y perlas.
advice-stiff = Mantenga espesa esta mezcla, o las perlas flotan. Guarde agua en vez de agregar.
advice-no_vibration = No vibre (ni mesa ni vibrador): las perlas flotan. Apriete y pase el rodillo a mano.
advice-fluid_beads = Esta mezcla está indicada como fluida y lleva perlas ligeras, que flotarán. Hágala más espesa antes de colar.
advice-likely_fluid_beads = Esta mezcla puede fluir, y entonces las perlas flotan. Haga una prueba de revenimiento: debe mantener su forma. Use menos agua y plastificante.
advice-warm_mix = La mezcla caliente fragua antes. Enfríe el agua, haga tandas más chicas y respete el tiempo indicado.
advice-retarder = Lleva retardante: más tiempo de trabajo, desmolde más tarde. Revise la pieza, no el reloj, antes de desmoldar.
advice-left_over = Mezcla sobrante: cuele primero probetas, luego una muestra.
advice-bucket_heavy = Muy pesada: faltan perlas, sobra arena o se perdió aire. Revise las perlas. Mezclar más no lo arregla.
advice-bucket_light = Muy ligera: sobran perlas, agua o aire. No agregue más agua. Revise las perlas.
advice-plain_heavy = Muy pesada: falta agua o se perdió aire. Revise los pesos.
advice-plain_light = Muy ligera: sobra agua o aire. No agregue más agua. Revise los pesos.
