# La hoja de camión.

truck-ratings = Las capacidades del camión, la tarima y el montacargas son las del taller. Compárelas con las placas.
truck-a-frames = Cargue parejo los dos lados del caballete, cálcelo, y amarre las piezas antes de mover o abrir el camión.
truck-bed-assumed = Los racks se acomodan en una plataforma de { $length_long_m } × { $width_long_m }. Chofer: revise que quepan.

stand-name = { $rack ->
    [A-frame] Caballete
   *[pallet] Tarima
} { $number }

truck-title = Hoja de camión
truck-purpose = Para los cargadores y el chofer. Todos los pesos son máximos, con los racks.
truck-trips = Viajes
truck-gross-all = Peso bruto de todo
truck-heaviest = Rack más pesado
truck-most-straps = Correas para el viaje más lleno
truck-straps-rated = { $count ->
    [one] 1 correa
   *[other] { $count } correas
}, { $rating_kg } de carga límite de trabajo
truck-check-title = REVISE ANTES DE CARGAR EL CAMIÓN
truck-cautions = Carga y descarga
truck-trip = { $count ->
    [one] Viaje { $trip } de { $trips }
   *[other] Viajes { $trip } de { $trips }, cargados igual
}
truck-load = Peso bruto { $high_kg } de { $payload_kg } de carga útil. Plataforma ocupada: { $bed_long_m } de { $length_long_m }.
truck-gross = Peso bruto
truck-strap-total = Total mín. correas
truck-ticks = Cargado, amarrado
truck-side = Lado { $side }: { $pieces }
truck-cab = CABINA
truck-loaded-by = Viaje { $trip }, cargó y amarró: nombre, fecha, hora
