# Die Ladeanweisung.

truck-ratings = Die Tragfähigkeiten von LKW, Palette und Stapler sind Angaben der Werkstatt. Mit den Typenschildern vergleichen.
truck-a-frames = A-Bock auf beiden Seiten gleich beladen, verkeilen und die Teile festzurren, bevor der LKW fährt oder geöffnet wird.
truck-bed-assumed = Die Gestelle stehen auf einer Ladefläche von { $length_long_m } × { $width_long_m }. Fahrer: prüfen, ob sie passen.
stand-name = { $rack ->
    [A-frame] A-Bock
   *[pallet] Palette
} { $number }
truck-title = Ladeanweisung
truck-purpose = Für Verlader und Fahrer. Alle Gewichte sind Höchstwerte, mit Gestell.
truck-trips = Fahrten
truck-gross-all = Gesamtgewicht aller Ladungen
truck-heaviest = Schwerstes Gestell
truck-most-straps = Zurrgurte für die vollste Fahrt
truck-straps-rated = { $count ->
    [one] 1 Zurrgurt
   *[other] { $count } Zurrgurte
}, Zurrkraft { $rating_kg }
truck-check-title = VOR DEM LADEN PRÜFEN
truck-cautions = Laden und Abladen
truck-trip = { $count ->
    [one] Fahrt { $trip } von { $trips }
   *[other] Fahrten { $trip } von { $trips }, gleich geladen
}
truck-load = Gesamtgewicht { $high_kg } von { $payload_kg } Nutzlast. Ladefläche belegt: { $bed_long_m } von { $length_long_m }.
truck-gross = Gesamtgewicht
truck-strap-total = Zurrkraft min.
truck-ticks = Geladen, gezurrt
truck-side = Seite { $side }: { $pieces }
truck-cab = FAHRERHAUS
truck-loaded-by = Fahrt { $trip }, geladen und gezurrt: Name, Datum, Uhrzeit
