# Las pantallas del teléfono: la mezcladora y la cuadrilla.

page-skip = Saltar al contenido
page-crew = Cuadrilla
page-mixer = Mezcladora
page-pieces = Piezas
page-max-weight = Peso máx.
page-flip = Voltear con el molde
page-old-sheet = Revisado. Pida la revisión { $revision } antes de levantar.
page-old-label = Etiqueta vencida. Pida una nueva antes de levantar.
page-no-hands = NO LEVANTAR A MANO
mixer-needs-script = Esta pantalla necesita JavaScript.
mixer-part = tanda { $number } de { $total }
mixer-batches = Tandas
mixer-of = { $count } de { $total }
mixer-start = Empezar a pesar
mixer-continue = Seguir pesando
mixer-weighing = Pesando
mixer-mixing = Mezclando
mixer-done = lista
mixer-all-done = Todas las tandas de este colado están listas.
mixer-offline = Sin red. No cierre esta página. Datos en espera en este teléfono:
mixer-refused = Datos que el taller no pudo leer. Avise a la oficina. Cantidad:
mixer-changed = El trabajo cambió. Recargue antes de la próxima tanda.
mixer-other = Empezada con otras cantidades. Deshaga cada una y pese de nuevo.
mixer-begun = Empezada antes de que cambiara el trabajo, con estas cantidades. Termínela con ellas o tírela.
mixer-gone = Ya no están en el plan
mixer-gone-why = Se pesaron antes de que cambiara el trabajo. Siguen en los registros. Avise a la oficina.
mixer-other-size = Se mezcló para { $was }. El plan ahora pide { $now }. Avise a la oficina.
mixer-no-job = El taller ya no tiene este trabajo: se movió o se archivó. Sus datos siguen en este teléfono. Avise a la oficina.
mixer-turned-away = La computadora del taller no recibe datos ({ $number }). Sus datos siguen en este teléfono. Avise a la oficina.
mixer-throw = Tirar la tanda
mixer-sign-in = Vuelva a entrar. Sus datos siguen en este teléfono.
mixer-for = Para { $pieces }
mixer-material = Material { $count } de { $total }
mixer-weighed-on = En { $name }, a { $step }
mixer-lot = Lote del saco
mixer-new-lot = Lote del saco nuevo
mixer-so-far = En la báscula hasta ahora: { $amount }
mixer-next = Sigue:
mixer-weighed = ✓ Pesado
mixer-measured = ✓ Medido
mixer-level = Enrase la cubeta. No la sacuda.
mixer-or = o { $amount }
mixer-less = Menos
mixer-more = Más
mixer-no-room = Este teléfono no tiene espacio para guardar lo que marca. Libere espacio o use otro teléfono.
mixer-number = Escriba un peso, en cifras.
mixer-whole = Ya hay { $amount } en la báscula. Escriba el peso completo.
mixer-sack = Se acabó el saco
mixer-on-scale = { $name } en la báscula
mixer-on-scale-now = Escriba lo que hay ahora en la báscula, menos de { $amount }.
mixer-shrinks = La tanda baja a { $share }.
mixer-pour-back = Devuelva primero
mixer-still = Falta pesar
mixer-was = Antes
mixer-now = Ahora
mixer-short = A { $pieces } le faltarán { $amount }. Mezcle el resto en una cubeta con taladro.
mixer-rescale = Ajustar a
mixer-another-sack = Tengo otro saco
mixer-too-late = Parte de la tanda ya está en la mezcladora. Abra otro saco.
mixer-since-water = Desde la primera agua
mixer-left = Quedan { $minutes } min. Coloque antes de las { $time }.
mixer-over = Pasó el límite de las { $time }. No coloque esta tanda.
mixer-late = Colocar lleva { $minutes } min y quedan { $left } min. Busque a otra persona.
mixer-is-in = ✓ En la mezcladora
mixer-used = Agua usada
mixer-water-used = Agua usada, de { $amount } reservada
mixer-density = Control de densidad
mixer-fill = Llene una cubeta de { $measure }. Enrásela. Pésela con la cubeta.
mixer-in-range = En rango
mixer-too-heavy = Demasiado pesada
mixer-too-light = Demasiado liviana
mixer-keep = Guardar este peso
mixer-back = Volver a la tanda
mixer-undo = Deshacer: { $name }

# El teléfono de la cuadrilla

page-jobs = Trabajos
crew-code = Código de la etiqueta
crew-show = Mostrar la pieza
crew-scan = O escanee la etiqueta con la cámara de este teléfono.
crew-touch = O toque la pieza
crew-more = { $count ->
    [one] 1 pieza más. Escriba su código.
   *[other] { $count } piezas más. Escriba el código.
}
crew-no-piece = Este trabajo no tiene la pieza { $code }.
    .fix = Escriba la marca de la etiqueta, como { $mark }.
crew-label = Etiqueta
crew-carry = Cargar
crew-flip = Voltear
crew-flip-title = VOLTEAR
crew-flip-name = La pieza en su molde entre dos tableros, amarrada, volteada sobre espuma
crew-in-form = PIEZA EN MOLDE
crew-foam = ESPUMA
crew-max = MÁX.
crew-max-flip = MÁX., con molde y tablero
crew-no-flip = NO VOLTEAR A MANO
crew-count = { $count ->
    [one] 1 pieza
   *[other] { $count } piezas
}
crew-each = { $people ->
    [0] {""}
    [one] Hasta { $high_kg }.
   *[other] Hasta { $high_kg } cada persona. Una persona da la orden.
}
crew-offline = Sin red. Hoja del { $day }, { $time }{ $revision ->
    [none] .
   *[other] , revisión { $revision }.
}

# La cotización del cliente

client-over = { $state ->
    [withdrawn] El taller retiró esta cotización.
   *[expired] Esta cotización fue válida hasta el { $until_date }.
} Pida una nueva al taller.
client-title = Su cotización
client-enter-code = Código de acceso
client-open = Abrir la cotización
client-wrong = Este código no es correcto.
client-wait = Demasiados códigos incorrectos. Espere y pruebe de nuevo.
client-pdf = Descargar en PDF
client-weight = máx. { $weight } cada una
client-options = Opciones, sin impuestos. Marcadas, están en el total.
client-instead = Reemplaza el precio de arriba.
client-payment-note = Para el total sin opciones. Las partes no cambian.
client-accept = Aceptar esta cotización
client-name = Su nombre
client-sign = Firme aquí con el dedo o el mouse
client-signature = Firma
client-clear = Borrar
client-typed = Mi nombre escrito es mi firma.
client-accept-button = Aceptar y enviar
client-thanks = Aceptada. Gracias.
client-accepted-by = Aceptada por { $name } por { $total }
client-accepted-with = Con: { $option }
client-not-open = Esta cotización ya no se puede aceptar.
    .fix = Llame al taller.
client-no-name = Falta su nombre.
    .fix = Escriba su nombre completo.
client-no-signature = Falta la firma.
    .fix = Firme en el recuadro, o marque que su nombre escrito es su firma.
client-not-agreed = La casilla sobre el botón está vacía.
    .fix = Márquela para aceptar.

# Entrar

page-phone = Teléfono
page-on-phone = Abra esta página en un teléfono
page-qr = Código QR de { $address }
people-sign-out = Salir
password-title = Cambiar la contraseña
password-now = Contraseña o código de acceso actual
password-new = Contraseña nueva
password-note = Al menos 8 caracteres. Los demás navegadores deberán volver a entrar.
password-changed = Cambiada. Los demás navegadores deberán volver a entrar.
sign-in = Entrar
sign-in-name = Nombre
sign-in-secret = Contraseña o código de acceso
sign-in-wrong = El nombre o la contraseña no es correcto.
sign-in-wait = Demasiados intentos. Espere un minuto.
page-enter = Página del taller
page-enter-button = Entrar
page-code = Código de acceso
page-code-note = El código está donde se abrió la página. Cambia cada vez que se abre.
page-wrong-code = Ese no es el código. Tras cinco códigos errados, la espera crece.
page-phone-none = Aún no hay trabajos.
page-screens = Pantallas
person-short-secret = La contraseña es demasiado corta.
    .fix = Escriba { $least } caracteres o más, o déjela vacía para un código de acceso.
person-wrong-secret = La contraseña actual no es correcta.
    .fix = Escríbala otra vez, o pida un código nuevo a la oficina.
