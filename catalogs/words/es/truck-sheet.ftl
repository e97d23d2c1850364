# La hoja de camión.

truck-ratings = Las capacidades del camión, la tarima y el montacargas son las del taller. Compárelas con las placas.
truck-a-frames = Cargue parejo los dos lados del caballete, cálcelo, y amarre las piezas antes de mover o abrir el camión.
truck-bed-assumed = Los racks se acomodan en una plataforma de { $length_m } × { $width_m }. Chofer: revise que quepan.

stand-name = { $rack ->
    [A-frame] Caballete
   *[pallet] Tarima
} { $number }
