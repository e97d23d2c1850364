# Die Hebeanweisung, und was sie mit Lade- und Montageanweisung gemeinsam hat.

lift-title = Hebeanweisung
lift-purpose = Für die Kolonne. Alle Gewichte sind Höchstwerte.
lift-pieces = Teile
lift-heaviest-carry = Schwerstes Tragen
lift-heaviest-flip = Schwerstes Wenden
lift-largest-crew = Größte Mannschaft
lift-only-by-machine = Nur maschinell
lift-some-by-machine = Teilweise maschinell
lift-key-symbol = { $symbol ->
    [millimeters] Maße in Millimetern.
    [person] Jede Figur ist eine Person.
    [balance] Geviertelter Kreis: Schwerpunkt.
    [pick] Dreieck: Anschlagpunkt.
    [pad] Doppelring: Vakuumsauger.
    [foam] Schwarzer Klotz: Schaumstoff.
    [rail] Dicke rote Schleife: schmaler Steg mit Breite. Nie an ihm heben.
    [seam] Dick gestrichelt: Fuge.
    [cross] Kästchen mit Kreuz: Konsole oder Anker.
    [outermost] Maße ab den äußersten Punkten.
   *[hidden] Gestrichelt: verdeckte Kante.
}
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
lift-weight-for-gear = Für Gerät gilt unten „Last am Gerät“.
lift-by-gear = Mit Gerät, hier geplant: { $stages }.
lift-by-hand = { $people ->
    [0] Von Hand: NEIN. Zuerst Seite 1 prüfen.
    [one] Von Hand: 1 Person, zuerst Seite 1 prüfen.
   *[other] Von Hand: { $people } Personen, zuerst Seite 1 prüfen.
}
lift-stage = Vorgang
lift-stage-max = Max. Gewicht
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
lift-foam-none = Keine Kante ist gerade genug zum Aufstellen. Eine befähigte Person plant das Aufstellen.
lift-foam-places = { $places } von { $side ->
    [front] vorn
    [bottom] unten
   *[left] links
}
lift-strip-load = Ausschallast
lift-strip-limit = Lastbegrenzer oder Kranwaage auf { $high_kg } einstellen. Löst er aus: anhalten und neu keilen.
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
lift-pads-crack = Keine. Das Teil würde an ihnen reißen. Anderes Gerät benutzen.
lift-pads-places = { $count ->
    [one] 1 Sauger
   *[other] { $count } Sauger
}, Durchmesser { $pad_m }, für { $high_kg }, die größte Last bei { $stages }, Mitten von links / { $side ->
    [bottom] unten
   *[front] vorn
}: { $places }. Nur auf sauberer, trockener Sichtseite. Sicherungskette oder -gurt anlegen. Niemand unter der Last.
lift-plumb = Stränge lotrecht von der Traverse.
lift-hook = Haken mindestens { $hook_m } über den Anschlagpunkten.
lift-points = { $count ->
    [3] An allen drei Hebepunkten heben, A bis C,
   *[other] An allen vier Hebepunkten heben, A bis D,
} rund um den Schwerpunkt.
lift-tension = Tragfähigkeit je Strang mindestens { $legs }{ $over ->
    [few] {" "}(zusammen mehr als die Last, weil womöglich zwei oder drei Stränge alles tragen)
    [slant] {" "}(zusammen mehr als die Last, weil schräge Stränge mehr Zug bekommen)
    [both] {" "}(zusammen mehr als die Last, weil schräge Stränge mehr Zug bekommen und womöglich zwei oder drei alles tragen)
   *[no] {""}
}. Die Last ist { $high_load_kg }, die größte bei { $stages }.
lift-insert-strength = Jeder Transportanker braucht in diesem Alter mindestens { $high_kg } Bruchlast.
lift-leg = { $leg } { $high_kg }
lift-around = Kantenschoner an jeder Kante. Gegen Verrutschen sichern. Stränge nicht über Öffnungen führen.
lift-picks-given = Die Anschlagpunkte stammen von der Werkstatt.
lift-not-planned = Hier nicht geplant
lift-not-planned-stages = Last am Gerät: { $stages } Stränge und Anschlagpunkte sind nicht berechnet. { $count ->
    [one] Nicht nach dieser Anweisung heben. Ein befähigter Anschläger plant dieses Heben.
   *[other] Nicht nach dieser Anweisung heben. Ein befähigter Anschläger plant jedes dieser Hebemanöver.
}
lift-capacity = Last am Gerät
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
    [even] Mit dem Stoß von Gabelstapler, Bagger oder Teleskoplader auf ebenem Boden.
    [rough] Mit dem Stoß von Gabelstapler, Bagger oder Teleskoplader auf unebenem Boden.
   *[crane] Mit dem Stoß von Hebezeug oder Kran.
} Gerät nach diesen Lasten wählen, nicht nach den Gewichten.
lift-avoid = Gegen Risse
lift-advice = { $way ->
    [carry-on-edge] Hochkant tragen.
    [strongback] Vor dem Aufstellen eine Versteifung mit Zwingen über den Ausschnitt spannen. Beidseits des Ausschnitts auf Schaumstoff lagern.
    [strongback-hung] Vor dem Ausschalen eine Versteifung mit Zwingen über den Ausschnitt spannen.
    [out-of-reach] Die geplanten Bewegungen verlangen { $strength } Erstrissfestigkeit. Glasfaserbeton erreicht sie nicht. Dieses Teil nicht ausschalen, wenden, tragen oder versetzen, bevor ein Tragwerksplaner die Bewegungen geplant hat.
    [cure-longer] Erhärten lassen, bis Prüfkörper { $strength } Erstrissfestigkeit zeigen. Vorher nicht bewegen.
   *[narrow-rail] Den schmalen Steg am Ausschnitt versteifen. Nie an ihm heben.
}
lift-when = Wann ausschalen
lift-when-strip = { $when } nach dem Einbringen.
lift-on-edge = Wenn es hochkant steht
lift-tips = Kippt bei { $degrees ->
    [0] weniger als 1°
   *[other] { $degrees }°
} Neigung. Hochkant nie ungesichert lassen.
