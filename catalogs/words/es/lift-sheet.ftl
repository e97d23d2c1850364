# La hoja de izaje, y lo que comparte con las hojas de camión y de instalación.

lift-title = Hoja de izaje
lift-purpose = Para la cuadrilla. Todos los pesos son máximos.
lift-pieces = Piezas
lift-heaviest-carry = Carga más pesada
lift-heaviest-flip = Volteo más pesado
lift-largest-crew = Cuadrilla más grande
lift-only-by-machine = Solo con máquina
lift-some-by-machine = Algunas maniobras con máquina
lift-key-symbol = { $symbol ->
    [millimeters] Medidas en milímetros.
    [person] Cada figura es una persona.
    [balance] Círculo en cuartos: centro de gravedad.
    [pick] Triángulo: punto de izaje.
    [pad] Dos anillos: ventosa.
    [foam] Bloque negro: espuma.
    [rail] Lazo rojo grueso: tira angosta, con su ancho. Nunca la levante de ahí.
    [seam] Línea cortada gruesa: junta.
    [cross] Cuadro con cruz: ménsula o anclaje.
    [outermost] Medidas desde los puntos más salientes.
   *[hidden] Línea cortada: borde oculto.
}
lift-every-piece = Para todas las piezas
lift-these-pieces = Para las piezas nombradas

check-title = REVISE ANTES DE LEVANTAR
check-ratings = No hay capacidad de carga registrada para: { $gear }. Lea la placa, o pregunte al fabricante, antes de cargar. Nunca suponemos una capacidad.
check-untested = { $pieces }: riesgo de agrietarse. Sin prueba de resistencia de { $mixes }. Cuele seis probetas de este colado y pruébelas antes de confiar en la resistencia para levantar.
check-untested-piece = Puede agrietarse. La mezcla no tiene prueba de resistencia.
check-number = Punto { $number }, página 1
lifting-inserts = los insertos de izaje
all-pieces = Todas las piezas
deferral = Los pesos son calculados. Pese la primera pieza antes de confiar en ellos para levantar. Rigen los códigos locales, las capacidades del fabricante y un ingeniero con licencia o un aparejador calificado.
deferral-short = Los pesos son calculados. Pese la primera pieza antes de confiar en ellos para levantar.

lift-truck = Camión y racks
lift-trip = Viaje
lift-rack = Rack
lift-rack-each = Piezas en cada uno
lift-gross = Peso bruto de cada uno (con rack)
lift-straps = Correas
lift-forklift = ¿Montacargas?
lift-forklift-ok = { $verdict ->
    [within] sí
    [over] NO, pasa de su capacidad
   *[missing] sin capacidad registrada
}
lift-see-truck-sheet = El orden de carga y las correas están en la hoja de camión.

lift-quantity = { $count ->
    [one] 1 pieza
   *[other] { $count } piezas, cada una
}
piece-use = { $use ->
    [counter] Cubierta
    [splash] Salpicadero
    [panel] Panel
    [planter] Jardinera
    [basin] Lavabo
    [fire] Pieza para fuego
   *[other] Pieza
}
lift-max-weight = Peso máx. de la pieza
lift-weight-for-gear = Para el equipo, use “Carga en el equipo”, abajo.
lift-by-gear = Con equipo, planeado aquí: { $stages }.
lift-by-hand = { $people ->
    [0] A mano: NO. Solo con máquina. Antes, revisar la página 1.
    [one] A mano: 1 persona, después de revisar la página 1.
   *[other] A mano: { $people } personas, después de revisar la página 1.
}
lift-stage = Etapa
lift-stage-max = Peso máx.
lift-stage-crew = Cuadrilla
lift-stage-each = Cada uno
lift-stage-guideline = Guía
lift-no-guideline = no hay
lift-stage-name = { $stage ->
    [strip] Desmoldar
    [flip] Voltear, con molde y tablas
    [carry] Cargar
    [stairs] Escaleras
    [set] Colocar
    [transport] En el camión
    [crate] En su caja
   *[soil] Llena de tierra mojada
}
lift-stage-face = { $name }, { $face ->
    [up] cara arriba
   *[down] cara abajo
}
lift-not-by-hand = { $stage ->
    [transport] queda en su rack
    [crate] solo con equipo
   *[soil] NO MOVER
}
move-by-machine = SOLO MÁQUINA, { $gear }
strength-flag = { $strength ->
    [enough] {""}
    [not-enough] , PUEDE AGRIETARSE
   *[untested] , mezcla sin probar
}
lift-guideline-note = Guía: parte de la guía de carga manual para esa cuadrilla. Si pasa de { $limit_share }, evalúe antes la maniobra. “No hay”: ninguna guía cubre a cuatro o más personas. Una persona competente debe evaluar antes esa maniobra. Un porcentaje bajo no prueba que sea segura. Raya: nadie la levanta a mano.
lift-center = Centro de gravedad: { $along_m } desde la izquierda, { $across_m } desde { $side ->
    [bottom] abajo
   *[front] el frente
}. Vista con la cara arriba.
lift-mirrored = Al desmoldar está cara abajo: izquierda y derecha se cambian.
lift-in-form = En el molde
lift-in-form-open = ☐ parada  ☐ boca abajo. No se sabe aquí. El taller marca una.
lift-face = Cara al cargar
lift-face-open = ☐ arriba  ☐ abajo. El aparejador marca una.
lift-side = { $side ->
    [bottom] ABAJO
   *[front] FRENTE
}
lift-edge-up = ESTE BORDE ARRIBA
lift-hold = Posición al cargar
lift-tilt = Pararla
tilt = sobre el borde { $edge ->
    [front] delantero
    [back] trasero
    [left] izquierdo
    [right] derecho
    [top] superior
    [bottom] inferior
   *[long] largo
}, sobre espuma.
lift-foam-mark = espuma
lift-foam = Bloques de espuma
lift-foam-none = Ningún borde es bastante recto para apoyarla. Una persona calificada planea cómo pararla.
lift-foam-places = { $places } desde { $side ->
    [front] el frente
    [bottom] abajo
   *[left] la izquierda
}
lift-strip-load = Carga al desmoldar
lift-strip-limit = Ajuste el limitador o la celda de carga a { $high_kg }. Si se dispara, pare y vuelva a acuñar.
lift-hold-point-hands = PUNTO DE ESPERA antes de sacarla a mano
lift-let-go = Sello roto en todo el contorno con aire o cuñas, y la pieza se mueve libre. Pegada en el molde, hacen falta { $high_kg }. Eso es solo para polipasto.
lift-hold-point-hook = PUNTO DE ESPERA antes de que el gancho tome peso
lift-daylight = Costados y tapones fuera, se ve luz alrededor de toda la pieza.
lift-signed = Firma ______________________   Fecha y hora ______________________
lift-gear = Equipo
lift-picks = Puntos de izaje
lift-picks-none = Ninguno. Los puntos dados agrietarían la pieza.
lift-pads = Ventosas
lift-pads-none = No hay lugar para ellas en esta pieza. Use otro equipo.
lift-pads-crack = Ninguna. La pieza se agrietaría con ellas. Use otro equipo.
lift-pads-places = { $count ->
    [one] 1 ventosa
   *[other] { $count } ventosas
} de { $pad_m } para { $high_kg }, la carga mayor de { $stages }, centros desde la izquierda / { $side ->
    [bottom] abajo
   *[front] el frente
}: { $places }. Solo en la cara limpia y seca. Ponga una cadena o correa de seguridad. Nadie bajo la carga.
lift-plumb = Eslingas a plomo desde un balancín.
lift-hook = Gancho al menos { $hook_m } arriba de los puntos de izaje.
lift-points = { $count ->
    [3] Levante de los tres puntos, de A a C,
   *[other] Levante de los cuatro puntos, de A a D,
} alrededor del centro de gravedad.
lift-tension = Cada ramal con capacidad de al menos { $legs }{ $over ->
    [few] {" "}(juntos más que la carga, porque dos o tres ramales pueden tener que llevarla toda)
    [slant] {" "}(juntos más que la carga, porque los ramales inclinados jalan más)
    [both] {" "}(juntos más que la carga, porque los ramales inclinados jalan más y dos o tres pueden tener que llevarla toda)
   *[no] {""}
}. La carga es { $high_load_kg }, la mayor de { $stages }.
lift-insert-strength = Cada inserto de izaje necesita una resistencia última de { $high_kg } o más a esa edad.
lift-leg = { $leg } { $high_kg }
lift-around = Protectores en todos los bordes. Topes contra el deslizamiento. Eslingas lejos de los huecos.
lift-picks-given = Los puntos de izaje son del taller.
lift-not-planned = No planeado aquí
lift-not-planned-stages = Carga en el equipo: { $stages } No se calcularon eslingas ni puntos de izaje. { $count ->
    [one] No haga esta maniobra con esta hoja. La planea un aparejador calificado.
   *[other] No haga estas maniobras con esta hoja. Un aparejador calificado planea cada una.
}
lift-capacity = Carga en el equipo
stage-name = { $stage ->
    [strip] Desmoldar
    [turn] Voltear
    [yard] Cargar
    [transport] En el camión
    [install] Colocar
   *[crate] En su caja
}
lift-capacity-stage = { $name } { $high_kg }
lift-capacity-for = { $hung_from ->
    [even] Incluye la sacudida de montacargas, excavadora o manipulador telescópico en piso parejo.
    [rough] Incluye la sacudida de montacargas, excavadora o manipulador telescópico en piso irregular.
   *[crane] Incluye la sacudida de polipasto o grúa.
} Elija el equipo por estas cargas, no por los pesos.
lift-avoid = Para que no se agriete
lift-advice = { $way ->
    [carry-on-edge] Cárguela de canto.
    [strongback] Sujete una viga de refuerzo a través de la abertura antes de pararla. Apoye en espuma a ambos lados de la abertura.
    [strongback-hung] Sujete una viga de refuerzo a través de la abertura antes de desmoldar.
    [out-of-reach] Los movimientos planeados exigen una resistencia a la primera grieta de { $strength }. El concreto con fibra de vidrio no la alcanza. No desmolde, voltee, cargue ni coloque esta pieza hasta que un ingeniero con licencia haya planeado sus movimientos.
    [cure-longer] Cúrela hasta que sus probetas den una resistencia a la primera grieta de { $strength } o más. No la mueva antes.
   *[narrow-rail] Refuerce la tira angosta junto a la abertura. Nunca la levante de ahí.
}
lift-when = Cuándo desmoldar
lift-when-strip = { $when } después de colar.
lift-on-edge = Si queda de canto
lift-tips = Se vuelca con { $degrees ->
    [0] menos de 1°
   *[other] { $degrees }°
} de inclinación. Nunca la deje suelta de canto.
