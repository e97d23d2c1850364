# La cotización y, una vez liberado el trabajo, la confirmación del pedido.

quote-title = { $status ->
    [ballpark] Precio estimado
    [released] Confirmación del pedido
   *[quoted] Cotización
}
quote-purpose = { $status ->
    [ballpark] Precio estimado, no es una cotización en firme. Medidas y detalles por confirmar.
    [released] Su pedido tal como se liberó. Avísenos de inmediato si algo difiere de lo que pidió.
    [templated] Precio en firme de las piezas siguientes, con las medidas de la plantilla.
   *[quoted] Precio en firme de las piezas siguientes.
}

quote-number = { $status ->
    [released] Pedido n.º
   *[quoted] Cotización n.º
}
quote-date = Fecha
quote-revision = Revisión
quote-valid-until = Válida hasta
quote-lead-time = Plazo de entrega
quote-lead-days = { $days ->
    [one] 1 día hábil después de la aprobación
   *[other] { $days } días hábiles después de la aprobación
}
quote-ready = Lista para envío
quote-undated = sin fecha
quote-for = Cliente
quote-site = Obra
quote-contact = Contacto en obra

quote-pieces = Piezas
quote-description = Pieza
quote-count = Todas las piezas
quote-max-weight = Peso máx. c/u, { $unit }
quote-quantity = Cant.
quote-area-each = Área c/u, { $unit }
quote-unit-price = Precio unitario
quote-each = { $each_price } cada una
quote-per-length = { $each_price } por { $units ->
    [imperial] pie
   *[metric] metro
}
quote-area-price = Precio por { $unit }
quote-amount = Importe
quote-use = { $use ->
    [counter] Cubierta
    [splash] Salpicadero
    [panel] Panel
    [planter] Jardinera
    [basin] Lavabo
    [fire] Pieza para fuego
   *[other] Pieza colada
}
quote-finish = Acabado: { $finish }
quote-color = Color: { $color }
quote-seam = Parte de { $whole }, unida en la junta (línea discontinua)
quote-drop-edge = Faldón de { $height_m } de alto: { $sides }, { $length_m }
quote-edge-profile = { $kind ->
    [bevel] Borde biselado { $size_m }
    [cove] Borde cóncavo { $size_m }
    [eased] Borde suavizado
    [bullnose] Borde media caña
    [mitre] Borde a inglete
   *[round-over] Borde redondeado { $size_m }
}: { $sides }, { $length_m }
quote-all-around = todo alrededor
quote-edges = { $count ->
    [one] 1 borde
   *[other] { $count } bordes
}
quote-heavy-lines = Líneas gruesas: faldones y perfiles de borde.
quote-returns = Retornos de { $depth_m } de fondo: { $sides }
quote-cutouts = { $count ->
    [one] 1 abertura
   *[other] { $count } aberturas
} { $size }, borde { $edge ->
    [raw] sin acabar
   *[finished] acabado
}
quote-notches = { $count ->
    [one] 1 muesca
   *[other] { $count } muescas
} { $size }, borde { $edge ->
    [raw] sin acabar
   *[finished] acabado
}
quote-holes = { $count ->
    [one] 1 perforación
   *[other] { $count } perforaciones
} { $size_m }
quote-side = { $side ->
    [front] frente
    [back] atrás
    [left] izquierda
    [right] derecha
    [top] arriba
   *[bottom] abajo
}
quote-rounded-area = Áreas y precios están redondeados. Valen los importes.
quote-rounded = Los precios unitarios están redondeados al centavo. Valen los importes.
quote-before-tax = Precio sin impuestos
quote-price = Precio
quote-total = Total a pagar
quote-range = Rango estimado sin impuestos
quote-range-ends = de { $low_price } a { $high_price }
quote-incomplete = Incompleta: algunas partidas no tienen precio todavía y no están en el total.

quote-scope = Alcance
quote-included = Incluido
quote-excluded = No incluido
quote-scope-pieces = Piezas de la lista, coladas y acabadas
quote-scope-sealing = Sellado
quote-scope-template = Plantilla en obra
quote-scope-measuring = Medición en obra
quote-scope-samples = { $count ->
    [one] 1 muestra de acabado
   *[other] { $count } muestras de acabado
}
quote-scope-samples-credited = { $count ->
    [one] 1 muestra de acabado
   *[other] { $count } muestras de acabado
}, { $each_price } cada una, se descuentan de este pedido
quote-scope-samples-priced = { $count ->
    [one] 1 muestra de acabado
   *[other] { $count } muestras de acabado
}, { $each_price } cada una, se cobran aparte
quote-scope-delivery = { $trips ->
    [one] Entrega, 1 viaje
   *[other] Entrega, { $trips } viajes
}
quote-scope-no-delivery = Entrega
quote-scope-installation = Instalación
quote-scope-installation-count = Instalación de { $count } piezas
quote-scope-installation-of = Instalación de { $marks }
quote-scope-plumbing = Plomería, conexiones de tarja y llave
quote-scope-gas = Líneas de gas, quemadores y ventilación
quote-scope-wall = Anclajes y su diseño, muro de respaldo y sellado de juntas
quote-scope-planting = Tierra, plantas, riego y conexiones de drenaje
quote-scope-support = Gabinetes, ménsulas y refuerzo del piso

quote-options = Opciones
quote-option = Opción
quote-option-price = Suma, sin impuestos
quote-option-in-price = en el precio
quote-option-choice = Su elección
quote-option-taken = tomada, en el precio
quote-alternates = Alternativas
quote-alternate = En lugar del precio base
quote-alternate-price = Precio sin impuestos
quote-alternate-more = Diferencia
quote-note = Nota
quote-changes = Órdenes de cambio
quote-change-number = N.º
quote-change-reason = Cambio
quote-change-price = Sin impuestos
quote-change-days = Días hábiles
quote-change-signed = Firmada
quote-change-unsigned = sin firmar, no está en el precio

quote-payment = Pago
quote-payment-step = Pago
quote-payment-due = Vence
quote-payment-share = Parte
quote-step = { $key ->
    [deposit] anticipo
    [progress-payment] pago parcial
    [balance] saldo
   *[other] { $step }
}
quote-due = { $key ->
    [with-the-order] con el pedido
    [before-delivery] antes de la entrega
    [on-completion] al terminar
   *[other] { $due }
}
quote-payment-paid = pagado
quote-payment-received = Recibido
quote-payment-balance = Saldo por pagar
quote-terms = Condiciones

quote-approvals = Aprobaciones necesarias antes de colar
quote-approvals-signed = Aprobaciones
quote-approval = { $key ->
    [sketch] plano de taller
    [sample] muestra de color y acabado
   *[template] plantilla
}
quote-approval-signed = { $approval }, firmado { $day }
quote-acceptance = Acepto { $number ->
    [none] esta cotización
   *[other] la cotización { $number }
}{ $revision ->
    [none] {""}
   *[other] , revisión { $revision },
} y sus condiciones por { $total_price }, impuestos incluidos.
quote-sign-client = Cliente
quote-sign-shop = Por el taller

# Las condiciones de una cotización mientras el taller no escriba las suyas. Son ejemplos, no asesoría legal.
term-sizes = Los precios cubren solo las piezas y medidas de la lista. Los cambios después de la firma requieren una orden de cambio firmada.
term-by-hand = Cada pieza se cuela a mano. El tono, los poros y las fisuras finas de la superficie varían dentro del rango de la muestra firmada.
term-sealer = El sellador resiste las manchas pero no las impide. Limpie los derrames y vuelva a sellar como indica el fabricante.
term-trivets = Use tablas de cortar y salvamanteles. Los cuchillos y las ollas calientes marcan el sellador.
term-weights = Los pesos son estimados. El cliente debe confirmar que la estructura debajo o detrás de las piezas los soporta.
term-anchors = Un ingeniero con licencia debe diseñar los anclajes y el muro de respaldo para viento y sismo. Ese diseño no está incluido.
term-planters = Coloque las jardineras vacías sobre una superficie que las soporte llenas de tierra mojada. Mantenga abiertos los desagües.
term-burners = Los quemadores, las líneas de gas y las distancias a materiales combustibles son responsabilidad del instalador según el código local.
