# Die Hebeanweisung, und was sie mit Lade- und Montageanweisung gemeinsam hat.

lift-title = Hebeanweisung
lift-purpose = Für die Kolonne. Alle Gewichte sind Höchstwerte.
lift-pieces = Teile
lift-heaviest-carry = Schwerstes Tragen
lift-heaviest-flip = Schwerstes Wenden
lift-largest-crew = Größte Mannschaft
lift-only-by-machine = Nur maschinell
lift-some-by-machine = Teilweise maschinell
lift-key = In den Zeichnungen { $units ->
    [metric] stehen die Maße in Millimetern, und jede Figur ist
   *[imperial] ist jede Figur
} eine Person. Geviertelter Kreis: Schwerpunkt. Dreieck: Anschlagpunkt. Doppelring: Vakuumsauger. Schwarzer Klotz: Schaumstoff. Dicke Schleife: schmaler Steg mit Breite. Gestrichelt: verdeckte Kante.
lift-every-piece = Für alle Teile
lift-these-pieces = Für die genannten Teile

check-title = VOR DEM HEBEN PRÜFEN
check-ratings = Keine Tragfähigkeit bekannt: { $gear }. Vor dem Belasten das Typenschild lesen oder den Hersteller fragen. Eine Tragfähigkeit wird nie geschätzt.
check-untested = { $pieces }: kann reißen. Festigkeit nicht geprüft: { $mixes }. Aus diesem Guss sechs Prüfkörper gießen und prüfen, bevor beim Heben mit ihr gerechnet wird.
check-untested-piece = Kann reißen. Festigkeit des Betons nicht geprüft.
check-number = Punkt { $number }, Seite 1
lifting-inserts = Transportanker
all-pieces = Alle Teile

deferral = Die Gewichte sind berechnet. Das erste Teil wiegen, bevor man sich beim Heben auf sie verlässt. Es gelten die örtlichen Vorschriften, die Tragfähigkeiten der Hersteller und das Urteil von Statiker oder befähigtem Anschläger.
deferral-short = Die Gewichte sind berechnet. Das erste Teil wiegen, bevor man sich beim Heben auf sie verlässt.
lift-truck = LKW und Gestelle
lift-trip = Fahrt
lift-rack = Gestell
lift-rack-each = Teile je Gestell
lift-gross = Gesamtgewicht je Gestell (mit Gestell)
lift-straps = Zurrgurte
lift-forklift = Mit Stapler?
lift-forklift-ok = { $verdict ->
    [within] ja
    [over] NEIN, über seiner Tragfähigkeit
   *[missing] Tragfähigkeit nicht bekannt
}
lift-see-truck-sheet = Ladefolge und Zurrgurte stehen in der Ladeanweisung.

lift-quantity = { $count ->
    [one] 1 Teil
   *[other] { $count } Teile, je
}
piece-use = { $use ->
    [counter] Arbeitsplatte
    [splash] Rückwand
    [panel] Wandplatte
    [planter] Pflanzkübel
    [basin] Waschbecken
    [fire] Feuerstelle
   *[other] Teil
}
lift-max-weight = Max. Gewicht des Teils
lift-by-hand = { $people ->
    [0] Von Hand: NEIN. Zuerst Seite 1 prüfen.
    [one] Von Hand: 1 Person, zuerst Seite 1 prüfen.
   *[other] Von Hand: { $people } Personen, zuerst Seite 1 prüfen.
}
lift-stage = Vorgang
lift-stage-max = Max.
lift-stage-crew = Leute
lift-stage-each = Je Person
lift-stage-guideline = Anteil
lift-no-guideline = keiner
lift-stage-name = { $stage ->
    [strip] Ausschalen
    [flip] Wenden, mit Form und Platten
    [carry] Tragen
    [stairs] Treppe
    [set] Versetzen
    [transport] Auf dem LKW
    [crate] In der Kiste
   *[soil] Voll nasser Erde
}
lift-stage-face = { $name }, { $face ->
    [up] Sichtseite oben
   *[down] Sichtseite unten
}
lift-not-by-hand = { $stage ->
    [transport] bleibt im Gestell
    [crate] nur mit Gerät
   *[soil] NICHT BEWEGEN
}
move-by-machine = NUR MASCHINELL: { $gear }
strength-flag = { $strength ->
    [enough] {""}
    [not-enough] , KANN REISSEN
   *[untested] , Beton ungeprüft
}
lift-guideline-note = Anteil: am Richtwert für das Heben von Hand bei dieser Personenzahl. Über { $limit_share } zuerst die Belastung beurteilen. „Keiner“: Für vier und mehr Personen gibt es keinen Richtwert. Dann beurteilt zuerst eine befähigte Person das Heben. Ein kleiner Anteil beweist keine Sicherheit. Strich: niemand hebt es von Hand.
lift-center = Schwerpunkt: { $along_m } von links, { $across_m } von { $side ->
    [bottom] unten
   *[front] vorn
}. Sichtseite oben.
lift-mirrored = Beim Ausschalen liegt die Sichtseite unten, links und rechts sind vertauscht.
lift-in-form = In der Form
lift-in-form-open = ☐ aufrecht  ☐ kopfüber (nicht bekannt, Werkstatt kreuzt an).
lift-face = Sichtseite beim Tragen
lift-face-open = ☐ oben  ☐ unten. Der Anschläger kreuzt es an.
lift-side = { $side ->
    [bottom] UNTEN
   *[front] VORN
}
lift-edge-up = DIESE KANTE OBEN
lift-hold = Traglage
lift-tilt = Aufstellen
tilt = über die { $edge ->
    [front] vordere
    [back] hintere
    [left] linke
    [right] rechte
    [top] obere
    [bottom] untere
   *[long] lange
} Kante, auf Schaumstoff.
lift-foam-mark = Schaumstoff
lift-foam = Schaumstoffklötze
lift-foam-places = { $places } von { $side ->
    [front] vorn
    [bottom] unten
   *[left] links
}
lift-strip-load = Ausschallast
lift-strip-limit = Lastbegrenzer oder Kranwaage auf { $high_kg } stellen. Löst er aus: anhalten und neu keilen.
lift-hold-point-hands = HALTEPUNKT, bevor das Teil von Hand herausgehoben wird
lift-let-go = Ringsum mit Luft oder Keilen gelöst, das Teil bewegt sich frei. Solange es in der Form haftet, braucht es { $high_kg }. Das geht nur mit Hebezeug.
lift-hold-point-hook = HALTEPUNKT, bevor der Haken Last aufnimmt
lift-daylight = Seiten und Aussparungskörper sind entfernt, ringsum ist Licht zu sehen.
lift-signed = Unterschrift ______________________   Datum und Uhrzeit ______________________
lift-gear = Gerät
lift-picks = Anschlagpunkte
lift-picks-none = Keine. An den angegebenen Punkten würde das Teil reißen.
lift-pads = Vakuumsauger
lift-pads-none = Auf diesem Teil ist kein Platz dafür. Anderes Gerät benutzen.
lift-pads-places = { $count ->
    [one] 1 Sauger
   *[other] { $count } Sauger
}, Durchmesser { $pad_m }, für { $high_kg }, die größte Last bei { $stages }, Mitten von links / { $side ->
    [bottom] unten
   *[front] vorn
}: { $places }. Nur auf sauberer, trockener Sichtseite. Sicherungskette oder -gurt anlegen. Niemand unter der Last.
lift-plumb = Stränge lotrecht von der Traverse.
lift-hook = Haken { $hook_m } darüber.
lift-points = { $count ->
    [3] Drei Hebepunkte, A bis C,
   *[other] Vier Hebepunkte, A bis D,
} rund um den Schwerpunkt. Der Punkt jedes Strangs zählt.
lift-tension = Zug im Strang bei { $high_load_kg }, der größten Last bei { $stages }: { $legs }.
lift-tension-each = Zug je Strang bei { $high_load_kg }, der größten Last bei { $stages }: { $high_kg }.
lift-leg = { $leg } { $high_kg }
lift-uneven = Jeder Zug ist der größte seines Punkts, daher ist die Summe größer als die Last.
lift-around = Kantenschoner an jeder Kante. Gegen Verrutschen sichern. Stränge nicht über Öffnungen führen.
lift-picks-given = Die Anschlagpunkte stammen von der Werkstatt.
lift-not-covered = Hier nicht geplant
lift-not-covered-stages = { $stages }. Anschlagart und Zug sind nicht berechnet. Ein befähigter Anschläger plant jedes dieser Hebemanöver.
lift-capacity = Mindesttragfähigkeit
stage-name = { $stage ->
    [strip] Ausschalen
    [turn] Wenden
    [yard] Tragen
    [transport] Auf dem LKW
    [install] Versetzen
   *[crate] In der Kiste
}
lift-capacity-stage = { $name } { $high_kg }
lift-capacity-for = { $hung_from ->
    [even] Für Gabelstapler, Bagger oder Teleskoplader auf ebenem Boden.
    [rough] Für Gabelstapler, Bagger oder Teleskoplader auf unebenem Boden.
   *[crane] Für Hebezeug oder Kran.
}
lift-avoid = Gegen Risse
lift-advice = { $way ->
    [carry-on-edge] Hochkant tragen.
    [strongback] Vor dem Aufstellen eine Versteifung mit Zwingen über den Ausschnitt spannen. Beidseits des Ausschnitts auf Schaumstoff lagern.
    [strongback-hung] Vor dem Ausschalen eine Versteifung mit Zwingen über den Ausschnitt spannen.
    [out-of-reach] Diese Bewegungen verlangen { $strength } Erstrissfestigkeit. Glasfaserbeton erreicht sie nicht. So nicht bewegen. Ein Tragwerksplaner plant die Bewegungen.
    [cure-longer] Erhärten lassen, bis Prüfkörper { $strength } Erstrissfestigkeit zeigen. Vorher nicht bewegen.
   *[narrow-rail] Den schmalen Steg am Ausschnitt versteifen. Nie an ihm heben.
}
lift-on-edge = Hochkant
lift-tips = Kippt bei { $degrees ->
    [0] weniger als 1°
   *[other] { $degrees }°
} Neigung. Hochkant nie ungesichert lassen.
