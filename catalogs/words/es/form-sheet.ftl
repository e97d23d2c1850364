# Los bordes, como los nombra la cotización.

side-front = frente
side-back = atrás
side-left = izquierda
side-right = derecha
side-bottom = abajo
side-top = arriba
edges-by-number = { $count ->
    [one] borde { $numbers }
   *[other] bordes { $numbers }
}
edge-part-of = parte de { $edge }
edge-near = un borde
