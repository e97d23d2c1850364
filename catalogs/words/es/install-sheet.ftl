# La hoja de instalación.

install-title = Hoja de instalación
install-purpose = Para la cuadrilla de instalación. Todos los pesos son máximos.
install-site = Obra
install-client = Cliente
install-contact = Contacto
install-shop = Taller
install-not-given = ____________________
install-pieces = Piezas por colocar
install-access = Acceso
install-measured = { $count ->
    [one] 1 lugar medido
   *[other] { $count } lugares medidos
}
install-not-measured = SIN MEDIR
install-carry = Distancia desde el camión
install-floor = Carga indicada del piso
install-floor-unknown = sin dato, revise en la obra
install-none = El taller no coloca piezas de este trabajo.
install-check-title = REVISE ANTES DE COLOCAR
install-access-assumed = No se midió el acceso. Se supone una puerta de { $width_m } × { $height_m }. Mida antes de descargar.
install-floor-check = Compare los gabinetes y el piso con las cargas de abajo. No se dio la carga del piso.

install-ticks = Piezas
install-order = Orden
install-as-set = Orden real, iniciales
install-piece = Pieza
install-max = Máx.
install-carried-by = La cargan
install-tick-names = ☐ presentada ☐ nivel ☐ juntas ☐ apoyo ☐ fija ☐ limpia
install-tick-head = Hecho
install-job-order = Coloque las piezas en el orden indicado.
install-crew-order = Lista en el orden del trabajo. El orden lo decide la cuadrilla. Escríbalo en la última columna.
install-one-of = { $mark }, { $number } de { $count }
install-all-of = { $mark }, las { $count }
install-others = Se entregan, no las coloca el taller: { $marks }.

install-bring = Lleve
install-bring-tools = nivel, regla y cinta
install-bring-shims = calzas
install-bring-foam = bloques de espuma y protectores de borde
install-bring-ppe = guantes, botas de seguridad, lentes, respirador
install-bring-counter = tornillos para gabinete, silicón transparente, adhesivo para juntas del mismo color, prensas para juntas
install-bring-sink = grapas y silicón para la tarja
install-bring-panel = llave de torque, y de otros los anclajes según diseño y el sellador
install-bring-planter = conexiones de drenaje, niveladores y amarres
install-bring-brackets = { $count ->
    [one] 1 ménsula con tornillos, de otros
   *[other] { $count } ménsulas con tornillos, de otros
}
install-bring-cutting = sierra en húmedo con interruptor de falla a tierra, aspiradora HEPA
install-bring-sealer = { $material_names } para retoques
install-bring-sealer-any = sellador para retoques

install-crew = Cuadrilla
install-hold = Posición al cargar
install-picks = Puntos de izaje, y maniobras no planeadas: hoja de izaje.
install-assumed-door = Se supone una puerta común: { $remark }
install-seam = Junta
install-seam-places = A { $places } desde { $side ->
    [front] el frente
    [bottom] abajo
   *[left] la izquierda
}.
install-brackets = Ménsulas
install-bracket-places = Bajo el voladizo de { $overhang_m }, a { $places }.
install-overhang = Voladizo
install-overhang-free = { $overhang_m }, no necesita ménsulas.
install-load = Carga sobre gabinete o piso
install-load-carried = { $high_kg_m2 } donde apoya.
install-load-foot = { $mass_kg_per_m } a lo largo de su base.
install-foot = Carga en una pata
install-foot-full = Hasta { $high_kg }, llena de tierra mojada o de agua.
install-wind = Viento
install-wind-tips = { $pressure } de costado la vuelca vacía. Amárrela.
install-dead-load = Para el ingeniero
install-in-place = { $high_kg_m2 } colocada
install-drop-load = de eso { $mass_kg_per_m } a lo largo del faldón: { $sides }
install-side = { $side ->
    [front] frente
    [back] atrás
    [left] izquierda
   *[right] derecha
}
install-anchors = Anclajes
install-anchor-places = { $places } desde la izquierda, a { $height_m } de altura.
install-anchors-given = Como se dieron.
install-anchors-suggested = Lugares solo sugeridos.
install-on-anchor = Peso propio en un anclaje
install-on-anchor-max = { $high_kg } máx.

install-sign-off = Entrega
install-accepted = Se recorrió la obra con el cliente. Piezas, juntas y acabado aceptados salvo lo anotado. Pendientes:
install-client-signs = por el cliente: nombre, fecha, firma
install-shop-signs = por el taller: nombre, fecha, firma
install-seam-parts = Una las partes de { $whole } en las líneas discontinuas, a { $width_m }. Déjelas al ras. Sujete con prensas hasta que fragüe el adhesivo.
