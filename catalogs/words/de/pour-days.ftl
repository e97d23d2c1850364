# Gießtage: für die Kolonne an den Formen, eine Seite je Tag.

pour-day = Tag { $day }
pour-turn = { $pour }, Durchgang { $turn }
pour-run = Tage { $days }
pour-turns = { $pour }, Durchgänge { $turns }
pour-days = { $count ->
    [one] Tag { $days }
   *[other] Tage { $days }
}
pour-paper = Gießtage
pour-purpose = Für die Kolonne an den Formen: ein Blatt je Gießtag. Früheste Termine.
pour-of = Guss { $number } von { $total }
pour-no-date = ____________
pour-alert = VOR DEM GIESSEN BEHEBEN
pour-after = { $pour } · { $date } · nach dem Gießen
pour-facts-days = Gießtage
pour-facts-pieces = Teile
pour-facts-batches = Mischungen
pour-facts-first = Erster Guss
pour-facts-crew = Leute
pour-facts-placing = Einbauzeit
pour-facts-mixing = Mischzeit
pour-facts-room = Raum / Beton
pour-facts-strip = Ausschalen
pour-days-heading = Tage
pour-head-pour = Guss
pour-head-date = Datum
pour-head-casts = Gegossen wird
pour-head-batches = Mischungen
pour-head-placing = Einbauzeit
pour-head-peak = Max. Temp.
pour-head-strip-on = Ausschalen
pour-cast = Gießen
pour-head-piece = Teil
pour-head-forms = Formen
pour-head-layers = Schichten, von der Form nach innen
pour-head-hone = Schleifen, max.
pour-head-sheets = Mischblatt
pour-forms = { $count }
pour-batches = Mischungen
pour-batches-within = Mischungen: jede innerhalb von { $minutes } min ab Wasserzugabe einbauen
pour-head-sheet = Blatt
pour-head-mix = Rezeptur
pour-head-volume = Je Mischung
pour-head-pieces = Teile
pour-head-placing-time = Einbauzeit
pour-head-within = Einbauen in
pour-head-water-at = Wasser um
pour-head-place-by = Einbau bis
pour-at-form = An der Form
pour-in-parts = { $marks }: je Teil { $batches } Mischungen { $mix_name }. Jede Mischung einbauen, bevor die vorige ansteift.
pour-cure = Abdecken, ausschalen, nachbehandeln
pour-keep-covered = Jedes Teil mit Folie abdecken, sobald es fertig ist. Ränder unterschlagen.
pour-head-plastic = Folie in
pour-head-blanket = Thermomatte, Wärme
pour-head-strip = Ausschalen
pour-head-crew = Leute dafür
pour-head-wet = Feucht halten
pour-who-comes = Wer an freien Tagen zum Ausschalen oder Feuchthalten kommt:
pour-short = { $pieces } · { $crew }, Einbau { $placing }, Ausschalen { $strip }

pour-layer = { $wait }{ $mix }, { $thickness }, { $method ->
    [spray] gespritzt
    [brush] gestrichen
    [hand] von Hand
   *[pour] gegossen
}{ $lifts ->
    [one] {""}
   *[other] {" "}in { $lifts } Lagen
}
pour-layer-wait = nach { $least }–{ $most } min:{" "}
pour-layer-full = ganze Dicke
pour-layer-rest = der Rest
pour-hone-none = nicht
pour-date-unknown = unbekannt
pour-date-some-by-test = { $date }, einige nach Prüfung
pour-peak-unknown = unbekannt
pour-peak-some-unknown = { $peak }, einige unbekannt
pour-over-limit = über der Grenze

pour-plastic-within = { $minutes } min
pour-plastic-now = SOFORT
pour-blanket-yes = JA. Bis { $high_c }.
pour-blanket-no = NEIN. Bis { $high_c }.
pour-blanket-no-hot = NEIN. Könnte { $high_c } erreichen, Grenze { $limit_c }.
pour-blanket-no-over = NEIN. Ginge über { $limit_c }.
pour-blanket-no-apart = NEIN. Kern–Oberfläche bis { $high_k }, Grenze { $limit_k }.
pour-blanket-unknown = Nur Folie. Temperatur unbekannt.
pour-hot = Wird zu heiß: könnte { $high_c } erreichen, Grenze { $limit_c }.
pour-hot-over = Wird zu heiß: geht über { $limit_c }.
pour-cool-mix = BETON KÜHLEN auf { $low_c }
pour-cast-layers = IN LAGEN GIESSEN, höchstens { $thickness }, jede zuerst abkühlen lassen
pour-cool-or-layers = { $mix } oder { $layers }.
pour-cool-only = { $remedy }.
pour-too-hot = ZU HEISS: Kühler Beton oder Lagen reichen nicht.
pour-warm-room = RAUM HEIZEN auf { $room }, Beton mit { $mix } einbauen.
pour-add-heat = BEHEIZEN: Ein warmer Raum allein reicht nicht.
pour-how-to-heat = Erst nach dem Erstarren heizen, frühestens nach { $hours } h. Höchstens { $step } je Stunde auf- und abheizen. Kern unter { $dry } halten, unter { $wet }, wenn das Teil nass wird. Teil feucht halten.
pour-strip-early = nicht vor { $from } h
pour-strip-from = ab { $from } h
pour-strip-by = { $when }, bis { $to } h
pour-strip-note = Nach Prüfkörpern ausschalen, nicht nach der Uhr.
pour-strip-weak = { $hours ->
    [known] Sind die Stunden um und die Prüfkörper noch zu schwach, nicht ausschalen und nicht heben.
   *[unknown] Sind die Prüfkörper zu schwach, nicht ausschalen und nicht heben.
} Warten und neu prüfen.
pour-strip-unknown = UNBEKANNT: nur nach Prüfung
pour-crew-of = { $marks }: { $crew }
pour-wet-days = { $days ->
    [one] 1 Tag
   *[other] { $days } Tage
}
pour-wet-none = nein
pour-drying = Verdunstung ohne Abdeckung: { $rate_kg_m2_h } (Grenze { $limit_kg_m2_h }), bis { $lost_share } des Wassers in { $minutes } min. { $over ->
    [yes] Sofort abdecken.
   *[no] In Ordnung.
}
pour-drying-unknown = Luftfeuchte unbekannt. Die Verdunstung ist nicht geprüft.
pour-drying-none = Keine Verdunstung: Die Luft ist feucht.

pour-no-trial = Enthält Verzögerer: ohne Versuch keine Ausschalzeit. Nach Prüfkörpern ausschalen.
pour-weekday = { $weekday ->
    [0] Mo.
    [1] Di.
    [2] Mi.
    [3] Do.
    [4] Fr.
    [5] Sa.
   *[6] So.
}, Woche { $week }
cure-plastic = Folie hält das Anmachwasser im Beton.
cure-store = Ausgeschalte Teile hochkant oder auf Stapelhölzer stellen, beide Seiten an der Luft, damit sie sich nicht verziehen.
cure-no-blanket-hot = Keine Thermomatte: Es könnte { $high_c } erreichen (Grenze { $limit_c }).
cure-no-blanket-over = Keine Thermomatte: Es ginge über { $limit_c }.
cure-no-blanket-apart = Keine Thermomatte: Der Unterschied Kern–Oberfläche könnte { $high_k } erreichen (Grenze { $limit_k }).
cure-blanket = Thermomatte auflegen: etwa { $with_share } der 28-Tage-Festigkeit nach { $hours } h statt { $without_share }. Höchstens { $high_c }.
cure-no-blanket-needed = Keine Thermomatte nötig: etwa { $without_share } der 28-Tage-Festigkeit nach { $hours } h ohne, { $with_share } mit.
cure-falls = Fällt unter { $cover ->
    [blanket] der Thermomatte
   *[plastic] Folie
} auf { $low_c }. Dünne Querschnitte bis zum Ausschalen auf mindestens { $needed_c } halten. Beheizen.
cure-strips-late = Unter { $cover ->
    [blanket] der Thermomatte
   *[plastic] Folie
} nach { $hours } h noch nicht fest genug zum Ausschalen. Beheizen.
cure-stays-warm = Bleibt unter { $cover ->
    [blanket] der Thermomatte
   *[plastic] Folie
} bei mindestens { $low_c }.
cure-within-limits = Bleibt ohne Thermomatte in den Grenzen: höchstens { $high_c }.
cure-overheats-hot = Wird auch ohne Thermomatte zu heiß: könnte { $high_c } erreichen (Grenze { $limit_c }). Beton kühlen oder in Lagen gießen.
cure-overheats-over = Wird auch ohne Thermomatte zu heiß: geht über { $limit_c }. Beton kühlen oder in Lagen gießen.
cure-overheats-apart = Der Unterschied Kern–Oberfläche könnte auch ohne Thermomatte { $high_k } erreichen (Grenze { $limit_k }). Beton kühlen oder in Lagen gießen.
cure-dry = Keine Feuchtnachbehandlung nötig: Polymerfeststoff { $solids_share }.
cure-wet = { $days ->
    [one] 1 Tag
   *[other] { $days } Tage
} feucht halten: Polymerfeststoff { $solids_share } (ab { $needed_share } nicht nötig). Wird es ausgelassen, im Protokoll vermerken.
cure-not-strong = Nach drei Tagen noch nicht fest genug zum Ausschalen.
cure-unknown = Temperatur unbekannt. Thermometer in ein Probestück stecken.
cure-unmodeled-cement = Temperatur unbekannt mit { $kind ->
    [calcium-aluminate] Tonerdezement
   *[calcium-sulfoaluminate] Calciumsulfoaluminat-Zement
}: Er erwärmt sich schneller als Portlandzement. Thermometer in ein Probestück voller Dicke stecken.
cure-unmodeled-no-cement = Temperatur unbekannt: Die Mischung enthält keinen Zement. Thermometer in ein Probestück stecken.
cure-unmodeled-water = Temperatur unbekannt: w/b-Wert { $water_ratio } liegt nicht zwischen { $least_ratio } und { $most_ratio }. Thermometer in ein Probestück stecken.
cure-unmodeled-density = Temperatur unbekannt: Trockenrohdichte { $dry_kg_m3 } liegt nicht zwischen { $lightest_kg_m3 } und { $heaviest_kg_m3 }. Thermometer in ein Probestück stecken.
cure-unmodeled-analysis = Temperatur unbekannt: kein Werkszeugnis für { $material_names }. Thermometer in ein Probestück voller Dicke stecken.
cure-unmodeled-thickness = Temperatur unbekannt: Dicke { $section_m } liegt nicht zwischen { $thinnest_m } und { $thickest_m }. Thermometer in ein Probestück stecken.
