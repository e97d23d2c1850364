# La orden de cambio: qué cambia, por qué, días, dinero, firmas.

change-title = Orden de cambio { $number }
change-purpose = { $signed ->
    [yes] Parte del pedido desde que se firmó.
   *[no] No es parte del pedido hasta que el cliente firme.
}
change-number = Orden de cambio n.º
change-order-number = Pedido n.º
change-date = Fecha
change-signed = Firmada
change-unsigned = todavía no
change-days = Calendario
change-days-more = { $days ->
    [0] sin cambio
    [one] 1 día hábil más tarde
   *[other] { $days } días hábiles más tarde
}
change-days-less = { $days ->
    [one] 1 día hábil antes
   *[other] { $days } días hábiles antes
}
change-reason = Motivo
change-what = Qué cambia
change-piece = Pieza
change-change = Cambio
change-amount = Sin impuestos
change-added = Se agrega: { $count ->
    [one] 1 pieza
   *[other] { $count } piezas
}, { $size }
change-removed = Se quita: { $count ->
    [one] 1 pieza
   *[other] { $count } piezas
}
change-size = Medida { $before }, ahora { $after }
change-quantity = Cantidad { $before }, ahora { $after }
change-detail = Ahora: { $detail }
change-mix = Cambió la mezcla o las capas
change-shape = Cambió la forma
change-other = Cambiaron otros detalles
change-rest = Otras piezas y costos compartidos
change-terms = Labores y condiciones del trabajo
change-total = Este cambio
change-money = Precio
change-money-before = Total del pedido antes de este cambio
change-money-price = Este cambio, sin impuestos
change-money-tax = Impuesto de este cambio
change-money-total = Nuevo total del pedido
change-money-paid = Pagado
change-money-due = Saldo por pagar
change-acceptance = Acepto la orden de cambio { $number }. El nuevo total del pedido es { $total_price }, impuestos incluidos.
