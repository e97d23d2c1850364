# Wie ein Teil bewegt, hineingebracht und gelagert wird.

move = { $move ->
    [strip] Ausschalen
    [flip] Wenden
    [tilt] Aufstellen
    [carry] Tragen
    [stairs] Treppe
   *[set] Versetzen
}
machine = { $move ->
    [strip] Hebezeug mit Kranwaage oder Lastbegrenzer
    [flip] Wendegestell
    [carry] Wagen, Hebezeug oder Palette mit Stapler
    [stairs] Treppensteiger
   *[set] Hebezeug oder Hubtisch
}
by-machine = nur maschinell, { $reason }
straps-or-bars = mit Gurten oder Tragestangen
third-guides = zwei tragen, ein Dritter führt
above-guideline = über dem Richtwert für das Heben von Hand, zuerst die Belastung beurteilen
outside-guidance = außerhalb der Richtlinien, nur auf ebenem Boden, mit Gurten oder Tragestangen, Weg zuerst abgehen
no-room-for-hands = kein Platz für so viele Hände
over-person-limit = auch mit der größten Mannschaft über der Grenze je Person

hold = { $hold ->
    [on-edge] hochkant, { $edge ->
        [front] vordere
        [back] hintere
        [left] linke
        [right] rechte
        [top] obere
        [bottom] untere
       *[long] lange
    } Kante oben
    [flat] flach, Sichtseite oben, Hände unter beiden langen Kanten
    [upright] aufrecht und waagerecht, Hände unter dem Boden
    [slings] { $face ->
        [up] flach, Sichtseite oben
       *[none] waagerecht
    }, an Strängen, niemand darunter
    [pads] flach, Sichtseite oben, an Vakuumsaugern mit Sicherungskette oder -gurt, niemand darunter
   *[rigger] maschinell, wie der befähigte Anschläger entscheidet
}
hold-on-cart = Auf Wagen oder Palette die ganze Unterseite stützen.

gear-hoist = { $hung_from ->
    [machine] Gabelstapler, Bagger oder Teleskoplader
   *[crane] Hebezeug oder Kran
} mit mindestens { $high_kg } Tragfähigkeit zuzüglich Gewicht von Strängen, Traverse oder Gestell, unter einem befähigten Anschläger (größte Last: { $stage ->
    [strip] beim Ausschalen
    [turn] beim Wenden
    [yard] beim Tragen
    [install] beim Versetzen
   *[crate] in der Kiste
})
gear-beside-vacuum = anderes Gerät zum Ausschalen und Wenden, denn auf die raue Rückseite kommt kein Sauger
gear-flipping-frame = Wendegestell mit mindestens { $high_kg } Tragfähigkeit
gear-stairs = Treppensteiger oder Treppenaufzug mit Tragfähigkeit für das Gewicht
gear-straps-or-bars = Gurte oder Tragestangen für den ebenen Weg, zuerst abgehen
gear-strongback = Versteifung über den Ausschnitt, vor dem Ausschalen anlegen, erst nach dem Versetzen abnehmen
gear-slotted-rack = Steckgestell oder Zurrgurte, hochkant nie frei stehend

own-picks = { $count ->
    [one] Ein Anschlagpunkt
    [2] Zwei Anschlagpunkte
    [3] Drei Anschlagpunkte
   *[other] Vier Anschlagpunkte
}, wie von der Werkstatt angegeben
slings-around = Zwei Schlingen um das Teil, je zwei Stränge, je { $from_end_m } vom Ende{ $ends ->
    [angled] , gemessen von dessen äußerstem Punkt
   *[square] {""}
}
picks-from-ends = { $count ->
    [2] Zwei Anschlagpunkte
    [3] Drei Anschlagpunkte
   *[other] Vier Anschlagpunkte
}, je { $from_end_m } vom Ende{ $ends ->
    [angled] , gemessen von dessen äußerstem Punkt
   *[square] {""}
}
picks-on-rim = Vier Anschlagpunkte am Rand

place = { $name ->
    [door] Tür
    [turn] Ecke
    [stairs] Treppe
    [elevator] Aufzug
    [elevator-door] Aufzugstür
    [usual-door] Standardtür
   *[other] { $name }
}
passes-straight = passt gerade durch, mit dem Ende voran
passes-tilted = passt mit dem Ende voran durch, gekippt
passes-level = passt waagerecht durch
passes-on-end = passt hochkant gestellt durch
passes-stairs = passt längs der Schräge durch
passes-leant = passt schräg in die Kabine
door-too-small = zu breit und zu hoch für die Öffnung, auch gekippt
turn-too-tight = zu lang für die Ecke
stairs-too-narrow = zu breit für die Treppe, hochkant und flach
elevator-too-small = zu groß für die Kabine, auch schräg gestellt
clearance-takes-all = kein Platz mehr für die Hände
access-assumed = Zugang nicht gemessen. Angenommen ist eine Standardtür.
seam-offered = Vorschlag für eine Fuge. Farbe, Auflager und Aussehen mit dem Kunden klären.
seam-no-shape = Für diese Form wird keine Fuge vorgeschlagen. Vor Ort messen oder kleiner gießen.
seam-no-help = Bei jeder Länge zu breit. Eine Fuge hilft nicht.
seam-no-place = Keine Fuge abseits der Ausschnitte ergibt Stücke von höchstens { $longest_m }.
    .fix = Den Ausschnitt verlegen oder einen anderen Zugang suchen.

picks-suggested = Die Anschlagpunkte sind nur ein Vorschlag. Ein befähigter Anschläger entscheidet.
assumed-strength-at-strip = Angenommen: Die geprüfte Festigkeit ist beim Ausschalen erreicht.
not-in-bending = In der Biegung nicht berücksichtigt: { $what }.
bending-lean = Neigung der Wände
bending-drains = Ablauflöcher
bending-ribs = Rippen
bending-edges = Kantenprofile
bending-mitres = Enden auf Gehrung
bending-drop = Abkantung an Kante { $number }

anchor-loads = Die Ankerlasten sind nur Eigengewicht. Anker und Wand muss ein Statiker für Wind und Erdbeben bemessen.
brackets-suggested = Die Konsolen sind nur ein Vorschlag. Konsolen und Befestigung bemisst ein Statiker.

piece-moves = { $mark } ({ $moves })
warning-crew-short = { $needed } Personen sind gleichzeitig nötig, die Werkstatt hat { $people }, für { $pieces }{ $more ->
    [0] {""}
   *[other] {" "}und { $more } weitere
}. Hilfe holen oder maschinell arbeiten.
