# Mischanweisungen: für den Mischmeister, eine Seite je Rezeptur.

batch-paper = Mischanweisungen
batch-purpose = Für den Mischmeister: eine Seite je Rezeptur, in der Reihenfolge der Güsse.
batch-list-pours = Güsse
batch-list-batches = Mischungen
batch-list-within = Einbauen innerhalb
batch-of-first-water = { $minutes } min ab Wasserzugabe
batch-of-first-water-span = { $least } bis { $most } min ab Wasserzugabe
batch-pours = Güsse
batch-sheets = Blätter
batch-head-sheet = Blatt
batch-head-pour = Guss
batch-head-mix = Rezeptur
batch-head-batches = Mischungen
batch-head-volume = Je Mischung
batch-head-weight = Gewicht je
batch-head-pieces = Teile
batch-head-earliest = Frühestens am
batch-head-casts = Gegossen wird

batch-role-face = VORSATZSCHICHT
batch-role-backer = HINTERBETON
batch-role-whole = EINSCHICHTIG
batch-each-day = Wiederholen
batch-each-day-value = an jedem von { $days } Tagen
batch-make = { $count ->
    [one] 1 Mischung herstellen
   *[other] { $count } Mischungen herstellen
}
batch-days = { $count } Tage
batch-ticks = Jede Mischung abhaken, sobald sie im Mischer ist
batch-ticks-density = Rechtes Feld: Gewicht des vollen Eimers bei der Rohdichteprüfung.
batch-sheet-of = Blatt { $number } von { $total }
batch-for = Für { $pieces }
batch-one = Eine Mischung
batch-place = Einbaufrist ab Wasser
batch-place-value = { $minutes } min
batch-placing = Einbauzeit
batch-placing-value = { $minutes } min, { $crew }
batch-wait-after-face = Warten nach der Vorsatzschicht
batch-wait-after-layer = Warten nach der letzten Lage
batch-wait-value = { $least }–{ $most } min
batch-next = Hinterbeton folgt innerhalb
batch-next-layer = Nächste Lage folgt innerhalb
batch-next-value = { $minutes } min
batch-left-over = Restbeton für
batch-coupons = { $count ->
    [one] 1 Prüfkörper
   *[other] { $count } Prüfkörper
}
batch-samples = { $count ->
    [one] 1 Muster
   *[other] { $count } Muster
}

load-material = in dieser Reihenfolge zugeben
load-take = je Mischung abwiegen
load-weighed = gewogen
load-batch = Misch. { $number }
load-lot = Chargen-Nr.
load-lot-from = ab Tag
load-water-first = Wasser, erste Zugabe
load-water-held = Wasser, zurückgehalten
load-as-needed = nur so viel wie nötig
load-loose = lose etwa { $volume }
load-beads-weigh = Kontrolle { $mass }
load-reads = Waage zeigt { $mass }
scale-floor = Bodenwaage
scale-bench = Tischwaage
scale-gram = Feinwaage
scale-only = Waage
scale-shows = { $most ->
    [none] Teilung { $step }
   *[other] Teilung { $step }, bis { $most }
}

ppe-respirator = Atemschutz
ppe-eyes = Schutzbrille
ppe-gloves = Wasserdichte Handschuhe
ppe-boots = Stiefel
ppe-ears = Gehörschutz
ppe-unplug = Erst Stecker ziehen

check-heading = Rohdichteprüfung, vor dem Einbau
check-says = Eimer ({ $measure }), bündig: Soll mit Eimer { $weight } ({ $low }–{ $high }).
check-weighed = Gewogen: _________
check-how = Einen Eimer nehmen, dessen Inhalt mit Wasser ausgemessen ist. An die Wand klopfen und bündig abziehen. Nicht rütteln. Wiegen: { $scale }.
check-people = { $people ->
    [one] Den vollen Eimer hebt eine Person.
   *[other] Den vollen Eimer heben { $people } Personen.
}
check-indication = Nur ein grober Anhalt. Die Mischung nicht danach ändern.
check-outside = Weiter außerhalb? Nicht einbauen, im Büro fragen.
check-none = Keine Rohdichteprüfung: Diese Mischung füllt den kleinsten Eimer nicht.
steps-heading = Am Mischer
cautions-heading = Sicherheitshinweise
cautions-elsewhere = Sicherheitshinweise: siehe Blatt { $sheet }.
batch-too-small-note = Zu wenig für den Mischer. Im Eimer mit dem Rührwerk mischen.
batch-overshot = Mehr als { $over_share } zu viel? Trocken herausnehmen. Eingemischt nicht mehr einbauen.

step-load-sand = Zuerst den Sand einfüllen.
step-load-beads = Die Perlen mit dem Eimer zugeben, lose und abgestrichen. Der Eimer gilt. Gewicht über { $off_share } daneben? Erst fragen.
step-load-powders = Zement und die übrigen Pulver zugeben.
step-add-water = { $liquids ->
    [yes] Die erste Wassermenge und die flüssigen Zusatzmittel zugeben. Mischen, bis keine trockenen Klumpen mehr da sind.
   *[no] Die erste Wassermenge zugeben. Mischen, bis keine trockenen Klumpen mehr da sind.
}
step-begin-water = { $liquids ->
    [yes] Die erste Wassermenge und die flüssigen Zusatzmittel vorlegen.
   *[no] Die erste Wassermenge vorlegen.
}
step-stir-powders = Zusatzmittel in Pulverform und Pigment einrühren.
step-add-cement = Zement und Puzzolan zugeben. Mischen, bis keine Klumpen mehr da sind.
step-add-sand = Den Sand zugeben.
step-hold-back = Vom zurückgehaltenen Wasser nur so viel zugeben wie nötig. Den Rest im Messbecher aufschreiben.
step-fiber-last = Die Fasern zuletzt zugeben. Untermischen, dann abschalten.
step-fiber-last-slow = Die Fasern zuletzt zugeben, bei langsamer Drehzahl. Untermischen, dann abschalten.

advice-plain_face = Vorsatzbeton: keine Fasern, keine Perlen. So legt das Schleifen keine frei.
advice-filled_face = Keine Vorsatzschicht: Schleifen legt Fasern und Perlen frei. Schalungsglatt lassen oder eine Vorsatzschicht verlangen.
advice-fingerprint = Mit dem Hinterbeton anfangen, wenn ein Finger in der Vorsatzschicht einen Abdruck hinterlässt und nichts schmiert. Die angegebene Zeit einhalten.
advice-face_round = Alle Teile dieser Mischung hinterfüllen. Erst dann die nächste Vorsatzmischung machen.
advice-set_face = Nie auf eine erstarrte Vorsatzschicht hinterfüllen: Sie löst sich ab. Auskratzen und neu spritzen.
advice-passes = Lagen nicht dicker als angegeben. Jede Lage in die untere einrollen.
advice-honing = Nicht tiefer schleifen als angegeben, sonst kommen Fasern und Perlen zum Vorschein.
advice-stiff = Diesen Beton steif halten, sonst schwimmen die Perlen auf. Wasser eher zurückhalten als zugeben.
advice-no_vibration = Nicht rütteln (weder Rütteltisch noch Flaschenrüttler): Die Perlen schwimmen auf. Von Hand andrücken und rollen.
advice-fluid_beads = Diese Rezeptur ist als fließfähig angegeben und enthält leichte Perlen. Sie schwimmen auf. Vor dem Gießen steifer einstellen.
advice-likely_fluid_beads = Dieser Beton kann fließen, und dann schwimmen die Perlen auf. Setzmaß prüfen: Er muss stehen bleiben. Weniger Wasser und Fließmittel nehmen.
advice-warm_mix = Warmer Beton erstarrt schneller. Wasser kühlen, kleiner mischen und die angegebene Zeit einhalten.
advice-retarder = Enthält Verzögerer: länger verarbeitbar, später ausschalen. Vor dem Ausschalen das Teil prüfen, nicht die Uhr.
advice-left_over = Restbeton: zuerst Prüfkörper gießen, dann ein Muster.
advice-bucket_heavy = Zu schwer: zu wenig Perlen, zu viel Sand oder Luft verloren. Perlen nachprüfen. Länger mischen hilft nicht.
advice-bucket_light = Zu leicht: zu viel Perlen, Wasser oder Luft. Kein Wasser mehr zugeben. Perlen nachprüfen.
advice-plain_heavy = Zu schwer: zu wenig Wasser oder Luft verloren. Gewichte nachprüfen.
advice-plain_light = Zu leicht: zu viel Wasser oder Luft. Kein Wasser mehr zugeben. Gewichte nachprüfen.
