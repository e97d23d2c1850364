# Die Montageanweisung.

install-title = Montageanweisung
install-purpose = Für die Montagekolonne. Alle Gewichte sind Höchstwerte.
install-site = Baustelle
install-client = Kunde
install-contact = Ansprechpartner
install-shop = Werkstatt
install-not-given = ____________________
install-pieces = Zu versetzende Teile
install-access = Zugang
install-measured = { $count ->
    [one] 1 Stelle gemessen
   *[other] { $count } Stellen gemessen
}
install-not-measured = NICHT GEMESSEN
install-carry = Trageweg vom LKW
install-floor = Zulässige Deckenlast
install-floor-unknown = nicht angegeben, vor Ort prüfen
install-none = Die Werkstatt versetzt kein Teil dieses Auftrags.
install-check-title = VOR DEM VERSETZEN PRÜFEN
install-access-assumed = Zugang nicht gemessen. Angenommen ist eine Tür von { $width_m } × { $height_m }. Vor dem Abladen messen.
install-floor-check = Unterschränke und Boden mit den Lasten unten vergleichen. Die zulässige Deckenlast ist nicht angegeben.

install-ticks = Teile
install-order = Folge
install-as-set = Folge wie versetzt, Kürzel
install-piece = Teil
install-max = Max.
install-carried-by = Träger
install-tick-names = ☐ angepasst ☐ Waage ☐ Fugen ☐ Auflager ☐ fest ☐ sauber
install-tick-head = Erledigt
install-job-order = Die Teile in der gezeigten Folge versetzen.
install-crew-order = Liste in der Folge des Auftrags. Die Kolonne bestimmt die Folge. In die letzte Spalte eintragen.
install-one-of = { $mark }, { $number } von { $count }
install-all-of = { $mark }, alle { $count }
install-others = Geliefert, nicht von der Werkstatt versetzt: { $marks }.

install-bring = Mitbringen
install-bring-tools = Wasserwaage, Richtlatte und Bandmaß
install-bring-shims = Unterlegplättchen
install-bring-foam = Schaumstoffklötze und Kantenschoner
install-bring-ppe = Handschuhe, Sicherheitsschuhe, Schutzbrille, Atemschutz
install-bring-counter = Schrauben für Unterschränke, Silikon transparent, Fugenkleber im Farbton, Fugenspanner
install-bring-sink = Spülenklammern und Sanitärsilikon
install-bring-panel = Drehmomentschlüssel, bauseits Anker nach Bemessung und Fugendichtstoff
install-bring-planter = Ablaufanschlüsse, Stellfüße und Verankerung
install-bring-brackets = { $count ->
    [one] 1 Konsole mit Befestigung, bauseits
   *[other] { $count } Konsolen mit Befestigung, bauseits
}
install-bring-cutting = Nasssäge mit FI-Schutzschalter, H-Sauger (HEPA)
install-bring-sealer = { $material_names } zum Ausbessern
install-bring-sealer-any = Versiegelung zum Ausbessern

install-crew = Leute
install-hold = Traglage
install-picks = Die Anschlagpunkte, und welches Heben nicht geplant ist, stehen in der Hebeanweisung.
install-assumed-door = Standardtür angenommen: { $remark }
install-seam = Fuge
install-seam-places = { $places } von { $side ->
    [front] vorn
    [bottom] unten
   *[left] links
}.
install-brackets = Konsolen
install-bracket-places = Unter dem Überstand von { $overhang_m }, bei { $places }.
install-overhang = Überstand
install-overhang-free = { $overhang_m }, keine Konsolen nötig.
install-load = Last auf Unterschrank oder Boden
install-load-carried = { $high_kg_m2 } auf der Auflagefläche.
install-load-foot = { $mass_kg_per_m } entlang der Standkante.
install-foot = Last auf einem Fuß
install-foot-full = Bis { $high_kg }, voll nasser Erde oder Wasser.
install-wind = Wind
install-wind-tips = { $pressure } auf die Seite kippen ihn leer um. Verankern.
install-dead-load = Für den Statiker
install-in-place = { $high_kg_m2 } eingebaut
install-drop-load = davon { $mass_kg_per_m } an der Abkantung: { $sides }
install-side = { $side ->
    [front] vorn
    [back] hinten
    [left] links
   *[right] rechts
}
install-anchors = Anker
install-anchor-places = { $places } von links, Höhe { $height_m }.
install-anchors-given = Wie angegeben.
install-anchors-suggested = Lage nur ein Vorschlag.
install-on-anchor = Eigengewicht auf einem Anker
install-on-anchor-max = max. { $high_kg }

install-sign-off = Abnahme
install-accepted = Rundgang mit dem Kunden gemacht. Teile, Fugen und Oberfläche abgenommen, ausgenommen das Vermerkte. Mängelliste:
install-client-signs = für den Kunden: Name, Datum, Unterschrift
install-shop-signs = für die Werkstatt: Name, Datum, Unterschrift
install-seam-parts = Die Stücke von { $whole } an den Strichlinien fügen, Fuge { $width_m }. Flächenbündig setzen. Spannen, bis der Kleber fest ist.
