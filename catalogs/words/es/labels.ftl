# Etiquetas de las piezas.

labels-title = Etiquetas
label-count = { $number } de { $count }
label-max = MÁX { $high_kg }
label-bare = solo la pieza
label-crate = En caja máx { $high_kg }
label-carry = { $people ->
    [one] Carga 1 persona
   *[other] Cargan { $people } personas
}
label-by-machine = NO LEVANTE A MANO
label-machine = Solo con { $gear }.
label-by-gear = { $lies ->
    [face-up] Plana, cara arriba. Nadie debajo.
    [level] A nivel. Nadie debajo.
   *[rigger] Un aparejador calificado decide cómo.
}
label-checks = { $count ->
    [one] Vea el punto { $numbers } de la hoja de izaje
   *[other] Vea los puntos { $numbers } de la hoja de izaje
}
label-trip = Viaje { $trip } · { $rack }
label-most = etiquetas de { $count } de { $pieces } piezas, el máximo por archivo
label-page = página { $page } de { $pages }
