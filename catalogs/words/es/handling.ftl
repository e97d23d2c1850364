# Cómo se mueve, se mete y se apoya una pieza.

move = { $move ->
    [strip] desmoldar
    [flip] voltear
    [tilt] parar de canto
    [carry] cargar
    [stairs] escaleras
   *[set] colocar
}
machine = { $move ->
    [strip] polipasto con celda de carga o limitador
    [flip] bastidor de volteo
    [carry] carro, polipasto o tarima con montacargas
    [stairs] carro subeescaleras
   *[set] polipasto o mesa elevadora
}
by-machine = solo con máquina, { $reason }
straps-or-bars = con correas o barras de carga
third-guides = dos cargan, un tercero guía
above-guideline = pasa de la guía de carga manual, evalúe antes la maniobra
outside-guidance = fuera de las guías publicadas, solo en piso nivelado, con correas o barras, recorra antes el camino
no-room-for-hands = no hay lugar para tantas manos
over-person-limit = pasa del límite por persona aun con la cuadrilla más grande

hold = { $hold ->
    [on-edge] de canto, el borde { $edge ->
        [front] delantero
        [back] trasero
        [left] izquierdo
        [right] derecho
        [top] superior
        [bottom] inferior
       *[long] largo
    } hacia arriba
    [flat] plana, cara arriba, con las manos bajo los dos bordes largos
    [upright] parada y a nivel, con las manos bajo la base
    [slings] { $face ->
        [up] plana, cara arriba
       *[none] a nivel
    }, colgada de eslingas, nadie debajo
    [pads] plana, cara arriba, colgada de ventosas con cadena o correa de seguridad, nadie debajo
   *[rigger] con máquina, como decida un aparejador calificado
}
hold-on-cart = En carro o tarima, apóyela en toda su cara inferior.

gear-hoist = { $hung_from ->
    [machine] montacargas, excavadora o manipulador telescópico
   *[crane] polipasto o grúa
} con capacidad de al menos { $high_kg } más el peso de eslingas, balancín o bastidor, a cargo de un aparejador calificado (carga mayor: { $stage ->
    [strip] al desmoldar
    [turn] al voltear
    [yard] al cargar
    [install] al colocar
   *[crate] en su caja
})
gear-beside-vacuum = otro equipo para desmoldar y voltear, porque no van ventosas en el reverso sin acabar
gear-flipping-frame = bastidor de volteo con capacidad de al menos { $high_kg }
gear-stairs = carro subeescaleras o polipasto de escalera con capacidad para el peso
gear-straps-or-bars = correas o barras de carga para el traslado a nivel, con recorrido previo
gear-strongback = viga de refuerzo a través de la abertura, puesta antes de desmoldar y hasta que la pieza quede colocada
gear-slotted-rack = rack con ranuras o correas, nunca suelta de canto

own-picks = { $count ->
    [one] Un punto de izaje
    [2] Dos puntos de izaje
    [3] Tres puntos de izaje
   *[other] Cuatro puntos de izaje
}, como los dio el taller
slings-around = Dos eslingas alrededor de la pieza, de dos ramales cada una, a { $from_end_m } de cada extremo{ $ends ->
    [angled] , medido desde su punto más saliente
   *[square] {""}
}
picks-from-ends = { $count ->
    [2] Dos puntos de izaje
    [3] Tres puntos de izaje
   *[other] Cuatro puntos de izaje
}, a { $from_end_m } de cada extremo{ $ends ->
    [angled] , medido desde su punto más saliente
   *[square] {""}
}
picks-on-rim = Cuatro puntos de izaje en el borde

place = { $name ->
    [door] puerta
    [turn] vuelta
    [stairs] escaleras
    [elevator] elevador
    [elevator-door] puerta del elevador
    [usual-door] puerta común
   *[other] { $name }
}
passes-straight = pasa derecho, de punta
passes-tilted = pasa de punta, inclinada
passes-level = pasa a nivel
passes-on-end = pasa parada de punta
passes-stairs = pasa a lo largo de la pendiente
passes-leant = entra recargada a través de la cabina
door-too-small = muy ancha y muy alta para el hueco, aun inclinada
turn-too-tight = muy larga para la vuelta
stairs-too-narrow = muy ancha para la escalera, de canto y plana
elevator-too-small = muy grande para la cabina, aun recargada a través
clearance-takes-all = no queda lugar para las manos
access-assumed = No se midió el acceso. Se supone una puerta común.
seam-offered = Junta sugerida. Confirme con el cliente el color, el apoyo y el aspecto.
seam-no-shape = No se sugiere junta para esta forma. Mida en la obra, o haga la pieza más chica.
seam-no-help = Muy ancha con cualquier largo. Una junta no ayuda.
seam-no-place = Ninguna junta fuera de los cortes deja partes de { $longest_m } o menos.
    .fix = Mueva la abertura o busque otro acceso.

picks-suggested = Los puntos de izaje son solo una sugerencia. Decide un aparejador calificado.
assumed-strength-at-strip = Se supone que la resistencia probada ya se alcanzó al desmoldar.
not-in-bending = No cuenta en la flexión: { $what }.
bending-lean = inclinación de las paredes
bending-drains = agujeros de drenaje
bending-ribs = nervios
bending-edges = perfiles de borde
bending-mitres = extremos a inglete
bending-drop = faldón en el borde { $number }

anchor-loads = Las cargas de los anclajes son solo de peso propio. Un ingeniero con licencia debe diseñar los anclajes y el muro para viento y sismo.
brackets-suggested = Las ménsulas son solo una sugerencia. Un ingeniero debe calcular las ménsulas y los tornillos.

piece-moves = { $mark } ({ $moves })
warning-crew-short = Se necesitan { $needed } personas al mismo tiempo y el taller tiene { $people }, para { $pieces }{ $more ->
    [0] {""}
   *[other] {" "}y { $more } más
}. Contrate ayuda o use una máquina.
