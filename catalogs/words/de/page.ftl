# Die Anzeigen auf dem Telefon: Mischer und Kolonne.

page-skip = Zum Inhalt
page-crew = Kolonne
page-mixer = Mischer
page-pieces = Teile
page-max-weight = Max. Gewicht
page-flip = Wenden, mit Form
page-old-sheet = Geändert. Vor dem Heben Revision { $revision } holen.
page-old-label = Etikett veraltet. Vor dem Heben ein neues holen.
page-no-hands = NICHT VON HAND HEBEN
mixer-needs-script = Diese Anzeige braucht JavaScript.
mixer-part = Mischung { $number } von { $total }
mixer-batches = Mischungen
mixer-of = { $count } von { $total }
mixer-start = Abwiegen starten
mixer-continue = Weiter abwiegen
mixer-weighing = Abwiegen
mixer-mixing = Mischen
mixer-done = fertig
mixer-all-done = Alle Mischungen dieses Gusses sind fertig.
mixer-offline = Offline. Diese Seite offen lassen. Einträge, die auf diesem Telefon warten:
mixer-refused = Einträge, die die Werkstatt nicht lesen konnte. Dem Büro melden. Anzahl:
mixer-changed = Der Auftrag hat sich geändert. Vor der nächsten Mischung neu laden.
mixer-other = Mit anderen Mengen begonnen. Jede zurücknehmen, dann neu wiegen.
mixer-begun = Vor der Änderung des Auftrags mit diesen Mengen begonnen. Damit fertig machen oder wegwerfen.
mixer-gone = Nicht mehr im Plan
mixer-gone-why = Vor der Änderung des Auftrags gewogen. Sie bleiben in den Aufzeichnungen. Dem Büro melden.
mixer-other-size = Gemischt für { $was }. Der Plan verlangt jetzt { $now }. Dem Büro melden.
mixer-no-job = Die Werkstatt hat diesen Auftrag nicht mehr: verschoben oder archiviert. Die Einträge bleiben auf diesem Telefon. Dem Büro melden.
mixer-turned-away = Der Rechner der Werkstatt nimmt keine Einträge an ({ $number }). Die Einträge bleiben auf diesem Telefon. Dem Büro melden.
mixer-throw = Mischung wegwerfen
mixer-sign-in = Neu anmelden. Die Einträge bleiben auf diesem Telefon.
mixer-for = Für { $pieces }
mixer-material = Baustoff { $count } von { $total }
mixer-weighed-on = { $name }, auf { $step }
mixer-lot = Chargen-Nr. auf dem Sack
mixer-new-lot = Chargen-Nr. auf dem neuen Sack
mixer-so-far = Bisher auf der Waage: { $amount }
mixer-next = Danach:
mixer-weighed = ✓ Gewogen
mixer-measured = ✓ Abgemessen
mixer-level = Eimer bündig abziehen. Nicht einrütteln.
mixer-or = oder { $amount }
mixer-less = Weniger um
mixer-more = Mehr um
mixer-no-room = Auf diesem Telefon ist kein Platz für Ihre Eingaben. Schaffen Sie Platz oder nehmen Sie ein anderes.
mixer-number = Ein Gewicht in Ziffern eingeben.
mixer-whole = { $amount } sind schon auf der Waage. Das ganze Gewicht eingeben.
mixer-sack = Sack ist leer
mixer-on-scale = { $name } auf der Waage
mixer-on-scale-now = Eingeben, was jetzt auf der Waage ist, weniger als { $amount }.
mixer-shrinks = Die Mischung schrumpft auf { $share }.
mixer-pour-back = Zuerst zurückschütten
mixer-still = Noch abzuwiegen
mixer-was = Bisher
mixer-now = Jetzt
mixer-short = Bei { $pieces } fehlen { $amount }. Den Rest im Eimer mit dem Rührwerk mischen.
mixer-rescale = Umrechnen auf
mixer-another-sack = Ich habe noch einen Sack
mixer-too-late = Ein Teil der Mischung ist schon im Mischer. Einen neuen Sack öffnen.
mixer-since-water = Seit Wasserzugabe
mixer-left = Noch { $minutes } min. Einbauen bis { $time }.
mixer-over = Grenze { $time } überschritten. Diese Mischung nicht einbauen.
mixer-late = Der Einbau dauert { $minutes } min, es bleiben { $left } min. Noch jemanden holen.
mixer-is-in = ✓ Im Mischer
mixer-used = Wasser verbraucht
mixer-water-used = Wasser verbraucht, von { $amount } zurückgehalten
mixer-density = Rohdichteprüfung
mixer-fill = Eimer ({ $measure }) füllen. Bündig abziehen. Mit Eimer wiegen.
mixer-in-range = In Ordnung
mixer-too-heavy = Zu schwer
mixer-too-light = Zu leicht
mixer-keep = Gewicht speichern
mixer-back = Zurück zur Mischung
mixer-undo = Rückgängig: { $name }

# Das Telefon der Kolonne

page-jobs = Aufträge
crew-code = Code auf dem Etikett
crew-show = Teil anzeigen
crew-scan = Oder das Etikett mit der Kamera dieses Telefons scannen.
crew-touch = Oder das Teil antippen
crew-more = { $count ->
    [one] Noch 1 Teil. Seinen Code eingeben.
   *[other] Noch { $count } Teile. Den Code eingeben.
}
crew-no-piece = Dieser Auftrag hat kein Teil { $code }.
    .fix = Die Nummer vom Etikett eingeben, etwa { $mark }.
crew-label = Etikett
crew-carry = Tragen
crew-flip = Wenden
crew-flip-title = WENDEN
crew-flip-name = Das Teil in der Form zwischen zwei Platten, festgegurtet, auf Schaumstoff gewendet
crew-in-form = TEIL IN DER FORM
crew-foam = SCHAUMSTOFF
crew-max = MAX.
crew-max-flip = MAX., mit Form und Platte
crew-no-flip = NICHT VON HAND WENDEN
crew-count = { $count ->
    [one] 1 Teil
   *[other] { $count } Teile
}
crew-each = { $people ->
    [0] {""}
    [one] Bis { $high_kg }.
   *[other] Bis { $high_kg } je Person. Eine Person gibt das Kommando.
}
crew-offline = Offline. Stand { $day }, { $time }{ $revision ->
    [none] .
   *[other] , Revision { $revision }.
}

# Das Angebot des Kunden

client-over = { $state ->
    [withdrawn] Die Werkstatt hat dieses Angebot zurückgezogen.
   *[expired] Dieses Angebot war gültig bis { $until_date }.
} Bitten Sie die Werkstatt um ein neues.
client-title = Ihr Angebot
client-enter-code = Zugangscode
client-open = Angebot öffnen
client-wrong = Dieser Code stimmt nicht.
client-wait = Zu viele falsche Codes. Warten Sie und versuchen Sie es noch einmal.
client-pdf = Als PDF herunterladen
client-weight = max. { $weight } je Stück
client-options = Optionen, netto. Angekreuzt sind sie im Gesamtbetrag.
client-instead = Ersetzt den Preis oben.
client-payment-note = Für den Gesamtbetrag ohne Optionen. Die Anteile bleiben gleich.
client-accept = Dieses Angebot annehmen
client-name = Ihr Name
client-sign = Hier mit Finger oder Maus unterschreiben
client-signature = Unterschrift
client-clear = Löschen
client-typed = Mein getippter Name ist meine Unterschrift.
client-accept-button = Annehmen und senden
client-thanks = Angenommen. Vielen Dank.
client-accepted-by = Angenommen von { $name } für { $total }
client-accepted-with = Mit: { $option }
client-not-open = Dieses Angebot kann nicht mehr angenommen werden.
    .fix = Rufen Sie die Werkstatt an.
client-no-name = Ihr Name fehlt.
    .fix = Geben Sie Ihren vollen Namen ein.
client-no-signature = Die Unterschrift fehlt.
    .fix = Unterschreiben Sie im Feld, oder haken Sie an, dass Ihr getippter Name Ihre Unterschrift ist.
client-not-agreed = Das Kästchen über der Schaltfläche ist leer.
    .fix = Haken Sie es an, um anzunehmen.

# Anmelden

page-phone = Telefon
page-on-phone = Diese Seite auf einem Telefon öffnen
page-qr = QR-Code von { $address }
people-sign-out = Abmelden
password-title = Passwort ändern
password-now = Bisheriges Passwort oder Zugangscode
password-new = Neues Passwort
password-note = Mindestens 8 Zeichen. Andere Browser werden abgemeldet.
password-changed = Geändert. Andere Browser sind abgemeldet.
sign-in = Anmelden
sign-in-name = Name
sign-in-secret = Passwort oder Zugangscode
sign-in-wrong = Name oder Passwort ist falsch.
sign-in-wait = Zu viele falsche Versuche. Eine Minute warten.
page-enter = Werkstattseite
page-enter-button = Öffnen
page-code = Zugangscode
page-code-note = Der Code steht dort, wo die Seite gestartet wurde. Er ändert sich bei jedem Start.
page-wrong-code = Das ist nicht der Code. Nach fünf falschen Codes wächst die Wartezeit.
page-phone-none = Noch keine Aufträge.
page-screens = Ansichten
person-short-secret = Das Passwort ist zu kurz.
    .fix = { $least } Zeichen oder mehr eingeben, oder für einen Zugangscode leer lassen.
person-wrong-secret = Das bisherige Passwort ist falsch.
    .fix = Noch einmal eingeben, oder im Büro einen neuen Code holen.
