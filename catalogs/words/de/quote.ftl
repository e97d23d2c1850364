# Das Angebot und, nach der Freigabe, die Auftragsbestätigung.

quote-title = { $status ->
    [ballpark] Richtpreis
    [released] Auftragsbestätigung
   *[quoted] Angebot
}
quote-purpose = { $status ->
    [ballpark] Richtpreis, kein verbindliches Angebot. Maße und Einzelheiten sind noch zu klären.
    [released] Ihr Auftrag, wie freigegeben. Weicht etwas von Ihrer Bestellung ab, sagen Sie es uns bitte sofort.
    [templated] Festpreis für die folgenden Teile, mit den Maßen der Schablone.
   *[quoted] Festpreis für die folgenden Teile.
}
quote-number = { $status ->
    [released] Auftrags-Nr.
   *[quoted] Angebots-Nr.
}
quote-date = Datum
quote-revision = Revision
quote-valid-until = Gültig bis
quote-lead-time = Lieferzeit
quote-lead-days = { $days ->
    [one] 1 Arbeitstag nach Freigabe
   *[other] { $days } Arbeitstage nach Freigabe
}
quote-ready = Versandbereit
quote-undated = ohne Datum
quote-for = Kunde
quote-site = Bauvorhaben
quote-contact = Ansprechpartner vor Ort
quote-pieces = Teile
quote-description = Teil
quote-count = Alle Teile
quote-max-weight = Max. Gewicht je Stk., { $unit }
quote-quantity = Menge
quote-area-each = Fläche je Stk., { $unit }
quote-unit-price = Einzelpreis
quote-each = { $each_price } je Stück
quote-per-length = { $each_price } je { $units ->
    [imperial] Fuß
   *[metric] Meter
}
quote-area-price = Preis je { $unit }
quote-amount = Betrag
quote-use = { $use ->
    [counter] Arbeitsplatte
    [splash] Rückwand
    [panel] Wandplatte
    [planter] Pflanzkübel
    [basin] Waschbecken
    [fire] Feuerstelle
   *[other] Betonteil
}
quote-finish = Oberfläche: { $finish }
quote-color = Farbe: { $color }
quote-seam = Teil von { $whole }, an der Fuge gestoßen (Strichlinie)
quote-drop-edge = Abkantung, { $height_m } hoch: { $sides }, { $length_m }
quote-edge-profile = { $kind ->
    [bevel] Kante gefast { $size_m }
    [cove] Kante gekehlt { $size_m }
    [eased] Kante gebrochen
    [bullnose] Kante halbrund
    [mitre] Kante auf Gehrung
   *[round-over] Kante gerundet { $size_m }
}: { $sides }, { $length_m }
quote-all-around = umlaufend
quote-edges = { $count ->
    [one] 1 Kante
   *[other] { $count } Kanten
}
quote-heavy-lines = Dicke Linien: Abkantungen und Kantenprofile.
quote-returns = Umkantung, { $depth_m } tief: { $sides }
quote-cutouts = { $count ->
    [one] 1 Ausschnitt
   *[other] { $count } Ausschnitte
} { $size }, Kante { $edge ->
    [raw] roh
   *[finished] bearbeitet
}
quote-notches = { $count ->
    [one] 1 Ausklinkung
   *[other] { $count } Ausklinkungen
} { $size }, Kante { $edge ->
    [raw] roh
   *[finished] bearbeitet
}
quote-holes = { $count ->
    [one] 1 Bohrung
   *[other] { $count } Bohrungen
} { $size_m }
quote-side = { $side ->
    [front] vorn
    [back] hinten
    [left] links
    [right] rechts
    [top] oben
   *[bottom] unten
}
quote-rounded-area = Flächen und Preise sind gerundet. Es gelten die Beträge.
quote-rounded = Einzelpreise sind auf den Cent gerundet. Es gelten die Beträge.
quote-before-tax = Nettopreis
quote-price = Preis
quote-total = Gesamtbetrag
quote-range = Richtpreis netto
quote-range-ends = { $low_price } bis { $high_price }
quote-incomplete = Unvollständig: Einige Positionen haben noch keinen Preis und fehlen im Gesamtbetrag.
quote-scope = Leistungsumfang
quote-included = Enthalten
quote-excluded = Nicht enthalten
quote-scope-pieces = Teile laut Liste, gegossen und bearbeitet
quote-scope-sealing = Versiegelung
quote-scope-template = Schablone vor Ort
quote-scope-measuring = Aufmaß vor Ort
quote-scope-samples = { $count ->
    [one] 1 Oberflächenmuster
   *[other] { $count } Oberflächenmuster
}
quote-scope-samples-credited = { $count ->
    [one] 1 Oberflächenmuster
   *[other] { $count } Oberflächenmuster
}, { $each_price } je Stück, Anrechnung bei Auftrag
quote-scope-samples-priced = { $count ->
    [one] 1 Oberflächenmuster
   *[other] { $count } Oberflächenmuster
}, { $each_price } je Stück, gesondert berechnet
quote-scope-delivery = { $trips ->
    [one] Lieferung, 1 Fahrt
   *[other] Lieferung, { $trips } Fahrten
}
quote-scope-no-delivery = Lieferung
quote-scope-installation = Montage
quote-scope-installation-count = Montage, { $count } Teile
quote-scope-installation-of = Montage von { $marks }
quote-scope-plumbing = Sanitäranschlüsse, Spüle und Armatur
quote-scope-gas = Gasleitungen, Brenner und Abgasführung
quote-scope-wall = Anker und ihre Bemessung, Tragwand und Fugendichtung
quote-scope-planting = Erde, Bepflanzung, Bewässerung und Ablaufanschluss
quote-scope-support = Unterschränke, Konsolen und Verstärkung des Bodens
quote-options = Optionen
quote-option = Option
quote-option-price = Aufpreis, netto
quote-option-in-price = im Preis
quote-option-choice = Ihre Wahl
quote-option-taken = gewählt, im Preis
quote-alternates = Alternativen
quote-alternate = Statt des Grundpreises
quote-alternate-price = Preis, netto
quote-alternate-more = Unterschied
quote-note = Hinweis
quote-changes = Nachträge
quote-change-number = Nr.
quote-change-reason = Änderung
quote-change-price = Netto
quote-change-days = Arbeitstage
quote-change-signed = Unterschrieben
quote-change-unsigned = nicht unterschrieben, nicht im Preis
quote-payment = Zahlung
quote-payment-step = Zahlung
quote-payment-due = Fällig
quote-payment-share = Anteil
quote-step = { $key ->
    [deposit] Anzahlung
    [progress-payment] Abschlagszahlung
    [balance] Restzahlung
   *[other] { $step }
}
quote-due = { $key ->
    [with-the-order] bei Auftrag
    [before-delivery] vor der Lieferung
    [on-completion] bei Fertigstellung
   *[other] { $due }
}
quote-payment-paid = bezahlt
quote-payment-received = Erhalten
quote-payment-balance = Offener Betrag
quote-terms = Bedingungen
quote-approvals = Freigaben vor dem Gießen
quote-approvals-signed = Freigaben
quote-approval = { $key ->
    [sketch] Werkzeichnung
    [sample] Farb- und Oberflächenmuster
   *[template] Schablone
}
quote-approval-signed = { $approval }, unterschrieben am { $day }
quote-acceptance = Ich nehme { $number ->
    [none] dieses Angebot
   *[other] das Angebot { $number }
}{ $revision ->
    [none] {""}
   *[other] , Revision { $revision },
} mit seinen Bedingungen an: { $total_price } einschließlich MwSt.
quote-sign-client = Kunde
quote-sign-shop = Für die Werkstatt

# Die Bedingungen eines Angebots, solange der Betrieb keine eigenen schreibt. Sie sind Beispiele, keine Rechtsberatung.
term-sizes = Die Preise gelten nur für die aufgeführten Teile und Maße. Änderungen nach der Freigabe brauchen einen unterschriebenen Nachtrag.
term-by-hand = Jedes Teil wird von Hand gegossen. Farbton, Poren und feine Haarrisse schwanken im Rahmen des unterschriebenen Musters.
term-sealer = Die Versiegelung bremst Flecken, verhindert sie aber nicht. Verschüttetes aufwischen und nach Angabe des Herstellers nachversiegeln.
term-trivets = Schneidbretter und Untersetzer benutzen. Messer und heiße Töpfe zeichnen die Versiegelung.
term-weights = Die Gewichte sind geschätzt. Der Kunde stellt sicher, dass die Konstruktion unter oder hinter den Teilen sie trägt.
term-anchors = Ein Statiker bemisst Verankerung und Tragwand für Wind und Erdbeben. Diese Bemessung ist nicht enthalten.
term-planters = Pflanzkübel leer aufstellen, auf einer Fläche, die sie voll nasser Erde trägt. Abläufe offen halten.
term-burners = Brenner, Gasleitungen und Abstände zu Brennbarem verantwortet der Installateur nach den örtlichen Vorschriften.
