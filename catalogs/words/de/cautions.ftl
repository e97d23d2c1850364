# Sicherheitshinweise: Gefahr, Folge, Maßnahme.

severity-danger = GEFAHR
severity-warning = WARNUNG
severity-note = HINWEIS

# Staub, Zement, Fasern

caution-silica-dust = Staub von Sand, Zement und Puzzolan enthält Quarz. Er vernarbt die Lunge und tötet. Dicht sitzende Atemschutzmaske tragen (P3 oder P100). Säcke tief und langsam entleeren, die Absaugung läuft. Nass oder mit dem Sauger der Staubklasse H (HEPA) reinigen. Nie trocken kehren, nie mit Druckluft abblasen.
    .why = Lungenschäden durch Quarzfeinstaub heilen nicht. Auslösewert 25 µg/m³ und Grenzwert 50 µg/m³ über 8 Stunden. Der Arbeitgeber beurteilt die Belastung.
caution-silica-cutting = Beim Schneiden und Schleifen entsteht Quarzstaub. Er vernarbt die Lunge und tötet. Nass arbeiten oder mit Absaughaube und H-Sauger (HEPA). Dicht sitzende Atemschutzmaske tragen. Ungeschützte fernhalten. Wenn möglich in der Werkstatt schneiden.
    .why = Trockenschneiden von Arbeitsplatten ist als Quarzstaubgefahr bekannt: Ein kurzer Schnitt kann den Grenzwert des ganzen Tages aufbrauchen.
caution-wet-cement = Nasser Zement verätzt die Haut und kann blind machen. Man merkt es zu spät. Wasserdichte Handschuhe, lange Ärmel, Stiefel und Schutzbrille tragen. Auf Brettern knien, nie im Beton. Spritzer sofort abspülen. Nasse Kleidung ausziehen. Augen 15 Minuten spülen und zum Arzt gehen.
    .why = Nasser Zement hat einen pH-Wert von 12 bis 13. Am Anfang tut er nicht weh.
caution-mixer-guard = Ein laufendes Mischwerk kann die Hand abreißen oder einen Menschen hineinziehen und töten. Stecker ziehen oder Hauptschalter abschließen, bevor Hand, Werkzeug oder Schaber am Schutzgitter vorbeigeht. Keine Handschuhe, Ärmel oder Bänder an laufenden Bohrmaschinen und Rührwerken.
    .why = Das Mischwerk ist stärker als der Arm und wickelt auf, was es fasst.
caution-wet-grinding = Nasse Elektrowerkzeuge können einen tödlichen Schlag geben. Schleifer, Sägen und Poliermaschinen nur mit FI-Schutzschalter betreiben. Kabel und Stecker vom Boden fernhalten.
    .why = Schleifschlamm leitet Strom.
caution-finish-chemicals = Säure, lösemittelhaltige Versiegelung und Zweikomponentenharz verätzen Augen und Lunge. Ihre Dämpfe können sich entzünden. Lüften. Flammen und Funken fernhalten. Schutzbrille, Handschuhe und den Atemschutz aus dem Sicherheitsdatenblatt tragen.
    .why = Dämpfe sammeln sich am Boden, bevor man sie riecht.
caution-glass-fibre = Geschnittene Glasfaser sticht in Haut und Augen. Handschuhe, lange Ärmel und Schutzbrille tragen. Fasern in den Mischer fallen lassen, nicht werfen. Auf Fasernadeln an geglätteten und gebrochenen Flächen achten.
    .why = Geschnittene Fasern machen reizenden Staub.
caution-fine-powder = Feines Pulver schwebt in der Luft und schadet der Lunge. Atemschutz tragen. Säcke mit Silikastaub, Pigment und Zusatzmittel unten an der Mischeröffnung oder unter der Absaugung öffnen.
    .why = Diese Pulver sind feiner als Zement, und manche Zusatzmittel lösen Hautallergien aus.

# Polystyrol

caution-polystyrene-fire-load = Polystyrolperlen brennen schnell, und der Rauch kann töten. Perlensäcke fern von Flammen, Funken, Schweißarbeiten und Heizgeräten lagern. Nur den Bedarf des Auftrags lagern, Gänge frei halten. Den Brandschutzbeauftragten nach der Lagermenge fragen.
    .why = Polystyrolschaum entzündet sich bei etwa { $ignites_c }, tropft brennend ab, und sein schwarzer Rauch verdeckt den Ausgang.
caution-polystyrene-dust = Lose Perlen machen Böden rutschig, und ihr Staub kann verpuffen. Perlen langsam und dicht am Mischer einfüllen. Verschüttetes sofort aufnehmen, Abläufe frei halten. Beim Aufsaugen von Perlen und Schneiden von Resten Atemschutz tragen und den Sauger erden.
    .why = Perlen haften, rollen überall hin und schwimmen in die Abläufe.
caution-polystyrene-uncoated = Unbeschichtete Perlen laden sich auf und können Funken schlagen. Sauger und Metallwerkzeug erden. Perlen zuerst mit etwas Anmachwasser und Puzzolan benetzen oder beschichtete Perlen nehmen.
    .why = Unbeschichtetes Polystyrol haftet, schwimmt im Beton auf und verbindet sich nicht mit dem Zementleim.
caution-polystyrene-near-fire = Dieses Teil steht an oder in einem Feuer, und der Beton enthält Polystyrol. Die Perlen schmelzen aus und geben tödlichen Rauch ab, und feuchter Beton kann platzen. Mineralischen Leichtzuschlag nehmen: Blähglas, Perlit oder Blähton. Das Teil austrocknen lassen. Abstände legt eine befähigte Person fest.
    .why = Perlen erweichen ab etwa { $softens_c } und gasen im Feuer aus, wo es niemand sieht.
caution-polystyrene-hot-pans = Heiße Töpfe hinterlassen Dellen in dieser Platte. Dem Kunden sagen: immer einen Untersetzer benutzen. Die Platte neben Kochfeld und Backofen abschirmen, wie deren Hersteller es verlangen.
    .why = Perlen nahe der Oberfläche erweichen ab etwa { $softens_c }. Die Versiegelung zeichnet noch früher.
caution-polystyrene-hot-sun = Eine dunkle Fläche in der prallen Sonne kann die Perlen dahinter erweichen. Eine hellere Farbe oder mineralischen Leichtzuschlag wählen. Die Perlen mit einer vollen Vorsatzschicht abdecken.
    .why = Perlen erweichen ab etwa { $softens_c }, und eine dunkle Fläche in der Sommersonne kommt nahe heran.
caution-polystyrene-solvents = Lösemittel lösen offene Perlen an Schnitt- und Schleifflächen auf und hinterlassen Löcher. Spachtel, Versiegelung und Kleber auf Wasserbasis nehmen. Lösemittel und Abbeizer zuerst an einem Reststück testen.
    .why = Schleifen und Schneiden öffnen die Perlen.
caution-beads-float = In fließendem Beton schwimmen die Perlen auf. Oben wird er schwach, unten schwer. Diesen Beton steif halten und weniger Fließmittel nehmen. Von Hand einbauen. Nicht rütteln.
    .why = Perlen sind viel leichter als der Zementleim um sie herum.

# Heben

caution-lift-two-person = Dieses Teil ist zu schwer für eine Person. Zu zweit tragen, an jedem Ende eine Person. Eine Person gibt das Kommando. Handschuhe und Sicherheitsschuhe tragen. Zuerst den Weg freiräumen.
    .why = Im schwersten Fall liegt es über der Grenze der Werkstatt für eine Person.
caution-lift-team = Rutscht einer ab, trifft die Last die anderen ohne Vorwarnung. Dieses Teil zu dritt oder zu viert tragen, jeder an der gezeigten Stelle. Eine Person gibt das Kommando. Den Weg zuerst leer abgehen. Wenn möglich Wagen oder Hubtisch benutzen.
    .why = Eine Gruppe hebt weniger als die Summe ihrer Leute.
caution-lift-rehearsed = Für mehr als vier Träger gibt es keine veröffentlichte Richtlinie. Rutscht einer ab, fällt die Last auf die anderen und kann töten. Nur auf ebenem Boden tragen, mit Gurten oder Tragestangen, mit Händen rund um den Schwerpunkt. Den Weg zuerst leer abgehen. Nie über Treppen tragen, nie von Hand wenden oder ausschalen.
    .why = So viele Leute heben nie gleichmäßig.
caution-lift-mechanical = Nicht von Hand heben. Das Teil kann jeden erdrücken und töten, auf den es fällt. Hebezeug, Kran, Hubtisch oder Wagen mit Tragfähigkeit für die gezeigte Last benutzen. Nur unterwiesene Bediener einsetzen. Niemand unter der Last und im Fallbereich.
    .why = Auch mit der größten Mannschaft trägt jeder zu viel, oder für so viele Hände ist kein Platz.
caution-lift-above-guideline = Über dem Richtwert für das Heben von Hand. Rücken und Schultern können Schaden nehmen. Zuerst die Belastung beurteilen: Höhe, Reichweite, Griff, Weg, Leute.
    .why = Das Teil liegt über dem veröffentlichten Orientierungswert. Darunter ist ein Heben noch nicht sicher.
caution-lifting-index-high = Dieses Heben schadet fast jedem Rücken. Anfang und Ende höher oder tiefer legen. Die Last näher an den Körper nehmen. Eine Person mehr einsetzen oder maschinell heben.
    .why = Bei einem Hebeindex über 3 ist fast jeder Rücken gefährdet.
caution-lifting-index-raised = Dieses Heben kann dem Rücken schaden. In Hüfthöhe heben, nah am Körper, mit gutem Griff. Nicht verdrehen.
    .why = Bei einem Hebeindex über 1 ist der Rücken bei einigen gefährdet.
caution-turning = Beim Wenden werden Teil, Form und Wendeplatte zusammen gehoben. Die Personenzahl für WENDEN nehmen, nicht die für TRAGEN. Alles zusammenspannen und auf Schaumstoff wenden.
    .why = Das ist oft das schwerste Heben des Auftrags, mit den Händen an der Kante.
caution-long-carry = Langes Tragen ermüdet Hände und Griff. Das Teil unterwegs absetzen oder einen Wagen mit Kantenauflage benutzen.
    .why = Die Richtwerte gelten für kurzes Tragen ohne Pause.
caution-stairs = Wer auf der Treppe ausrutscht, wirft das Teil auf die Person darunter. Höchstens zu zweit tragen, der Stärkere unten. Ein Dritter führt. Alle anderen weg vom Treppenlauf. Treppensteiger benutzen, wo das Blatt es sagt.
    .why = Die Person unten trägt mehr als die Hälfte und steht schlechter.
caution-rigging = Eine fallende Last tötet. Stränge steiler als 30° zur Waagerechten führen. Nur Stränge mit Tragfähigkeit für den gezeigten Zug benutzen. Anschlagmittel prüfen. Haken über den Schwerpunkt bringen. Führungsleine benutzen. Niemand unter der Last. Ein befähigter Anschläger gibt das Heben frei. Mit Gabelstapler, Bagger oder Teleskoplader das Teil auf der Palette fahren. Das Teil nie an eine dieser Maschinen hängen, wenn seine Hebeanweisung sie nicht als Gerät nennt.
    .why = Flache Stränge vervielfachen den Zug, und ein steifes Teil an vier Strängen hängt an zweien.
caution-rating-missing = Keine Tragfähigkeit bekannt: { $items }. Gerät, das versagt, lässt die Last fallen und tötet. Vor dem Belasten das Typenschild lesen oder den Hersteller fragen.
    .why = Eine Tragfähigkeit wird nie geschätzt.
caution-insert-strength = Reißt ein Transportanker aus, fällt das Teil und kann töten. Anker müssen das Vierfache ihrer Last tragen, die Anschlagteile das Fünffache, bei diesem Alter und dieser Dicke. Einen durch einen Ausziehversuch nachweisen, oder ein Statiker weist es nach.
    .why = Die Tabellen der Hersteller gelten für dicken, dichten Beton. Aus dünnen leichten Teilen bricht ein flacher Kegel.
caution-vacuum-lift = Vakuumsauger lassen ohne Warnung los, und ein fallendes Teil tötet. Vor jeder Serie auf dieser Fläche trocken die Dichtheit prüfen: Die Sauger müssen bei abgeschalteter Pumpe dicht bleiben. Sicherungskette oder -gurt anlegen. Nie über Personen heben. Keinen Sauger auf raue Rückseiten, nasse oder gewachste Flächen oder über einen Kern setzen.
    .why = Leichtbeton ist undicht, und eine nasse Fläche hält höchstens die halbe Reibung.
caution-form-adhesion = Die Form saugt stärker, als das Teil wiegt. Hebezeug, das nur nach Gewicht gewählt ist, kann versagen. Zuerst lösen: Seiten ab, Luft oder Keile an einer Kante, von einer Seite abschälen. Nie mit dem Hebezeug losreißen.
    .why = Bei dünnen Teilen ist der Sog größer als das Eigengewicht.

# Was reißen, kippen oder fallen kann

caution-strength-untested = Die Festigkeit dieses Betons ist nicht geprüft. Aus diesem Guss sechs Prüfkörper gießen und prüfen, bevor beim Heben mit ihr gerechnet wird.
    .why = Perlen statt Sand kosten Festigkeit. Wie viel, hängt von Mischung, Wasser und Nachbehandlung ab.
caution-may-crack = Dieses Teil kann reißen, wenn es anders getragen oder gehoben wird als gezeigt. Der Hebeanweisung folgen. Das Teil erhärten lassen, bis seine Festigkeit geprüft ist.
    .why = Die Biegespannung kommt der Rissfestigkeit in diesem Alter zu nahe, oder die Festigkeit ist nicht geprüft.
caution-tilt-on-long-edge = Über ein kurzes Ende oder eine Ecke aufgestellt, kann dieses Teil reißen. Nur über die lange Kante aufstellen. Diese Kante auf Schaumstoff stellen.
    .why = Über die lange Kante biegt es sich in der Breite, nicht in der Länge.
caution-cutout-on-edge = Die Stege neben einem Ausschnitt reißen zuerst. Vor dem Aufstellen eine Versteifung mit Zwingen über den Ausschnitt spannen. Den breiteren Steg nach unten. Beidseits des Ausschnitts auf Schaumstoff lagern, nie auf ihm oder unter ihm.
    .why = Die Stege neben einem Ausschnitt tragen die ganze Biegung.
caution-slender-strip = Ein Steg am Ausschnitt ist schmaler als { $rail_m } und kann brechen. Vor dem Ausschalen eine Versteifung mit Zwingen über den Ausschnitt spannen. Erst nach dem Versetzen abnehmen. Nie am Steg heben.
    .why = Durch diesen Steg geht die ganze Biegung des Teils.
caution-open-rails = Der Ausschnitt ist an einer Kante offen, die Stege können brechen. Vor dem Ausschalen eine Versteifung mit Zwingen über die Ausklinkung spannen. Erst nach dem Versetzen abnehmen. Nie an einem Steg heben.
    .why = Jeder Steg ist nur an einem Ende gehalten.
caution-glued-parts = Eine angeklebte Wange oder Rückwand kann abbrechen und jemanden treffen. Innen abstützen, bis der Kleber fest ist. Das Teil nie am angeklebten Stück heben oder tragen.
    .why = Eine Klebefuge ist schwach gegen Biegung, und eine Wange ist ein langer Hebel.
caution-stands-on-edge = Ein hochkant stehendes Teil kippt und hat Leute getötet, die es auffangen wollten. Hochkant nur in Steckgestellen oder festgezurrt lagern. Nie lose an Wand oder A-Bock lehnen. Aus dem Fallbereich bleiben. A-Bock verkeilen und beide Seiten gleich beladen. Teile festzurren, bevor der LKW fährt oder geöffnet wird. Einzeln abladen, abwechselnd von beiden Seiten.
    .why = Eine dünne Platte kippt hochkant bei 2 bis 3 Grad.
caution-stored-stacks = Ein schiefer Stapel reißt die unteren Teile und kippt. Auf Stapelhölzern genau übereinander stapeln, auf ebenem Grund. Schwere Teile nach unten. Nie höher stapeln, als der Stapel breit ist, auch Säcke nicht.
    .why = Versetzte Stapelhölzer biegen die unteren Teile.
caution-floor-load = Gestelle, Stapel, Platten und volle Pflanzkübel können eine Decke überlasten. Mit der angegebenen Nutzlast der Decke vergleichen. Ist keine angegeben, den Statiker fragen.
    .why = Die Last steht auf kleiner Fläche und bleibt. Decken und Balkone sind für weniger gebaut.
caution-planter-soil = Voll nasser Erde wiegt hier ein Pflanzkübel bis { $high_kg }. Leer aufstellen. Ablauf frei halten. Nie voll bewegen. Im Freien verankern, solange er leer ist, denn Wind kann ihn kippen.
    .why = Nasse Erde wiegt ein Vielfaches des Kübels.
caution-hung-panel = Eine Platte, die sich löst, tötet. Die Ankerlasten sind nur Eigengewicht. Anker und Wand muss ein Statiker für Wind und Erdbeben bemessen.
    .why = Wind und Erdbeben sind in diesen Zahlen nicht enthalten.
caution-counter-overhang = Dieser Überstand kann unter einer Person abbrechen. Unterplatte, Konsolen oder Rahmen darunter setzen. Gezeigte Konsolen sind nur ein Vorschlag. Konsolen und Befestigung bemisst ein Statiker.
    .why = Auf Überstände setzen und stützen sich Leute.
caution-tie-down = Eine verrutschende Ladung kann jemanden erdrücken oder vom LKW fallen. Mindestens die angegebenen Zurrgurte anlegen. Ihre Zurrkraft muss mindestens das halbe Ladungsgewicht sein. Kantenschoner benutzen.
    .why = Schon beim Bremsen zieht die Ladung mit fast ihrem ganzen Gewicht.
caution-access-not-shown = Dieses Teil passt vielleicht nicht durch den Zugang. Vor Ort messen oder mit Fuge an der gezeigten Stelle zweiteilig gießen.
    .why = Sonst zeigt es sich in der Tür, mit dem Teil in den Händen.

# Wärme

caution-heat-of-hydration = Dieses Teil kann beim Erhärten zu heiß werden, reißen und Hände verbrennen. Keine Thermomatte. Kühleres Wasser nehmen oder in Lagen gießen. Beim Aufdecken Handschuhe tragen.
    .why = Über { $harmed_c } leidet der Zementstein auf Dauer, Perlen erweichen, und heiße Flächen reißen beim Abkühlen.
caution-curing-heater = Heizgeräte im Wärmezelt lösen Brände aus und füllen es mit tödlichem Kohlenmonoxid. Nur elektrische Heizer oder solche mit Abgasführung benutzen. Abstand zu Folie und Perlen halten. Beaufsichtigen oder mit Sicherheitsabschaltung betreiben.
    .why = Folie und Polystyrol fangen Feuer, und Kohlenmonoxid riecht man nicht.

# Wer entscheidet

caution-who-governs = Nur zur Planung. Diese Zahlen ersetzen nicht das Urteil einer befähigten Person. Es gelten die örtlichen Vorschriften, die Tragfähigkeiten der Hersteller, der Statiker und der befähigte Anschläger.
    .why = Das Programm sieht nur die Auftragsdatei, nicht Boden, Wetter, Gerät oder Leute.

# Warum ein Hinweis für ein Teil gilt

reason-always = gilt für jedes Teil
reason-holds = Beton enthält { $kinds }
reason-cement = Beton enthält Zement
reason-glass-fiber = Beton enthält Glasfaser
reason-mixed = maschinell gemischt
reason-cut-on-site = wird vor Ort geschnitten
reason-honed = geschliffen
reason-trimmed = Arbeitsplatten werden oft vor Ort nachgeschnitten
reason-ground-wet = nass geschliffen
reason-sealed = versiegelt
reason-contains = Beton enthält { $material_names }
reason-fire = steht nahe am Feuer, Beton enthält { $material_names }
reason-dark-outdoors = dunkel und im Freien
reason-color-unknown = im Freien, Farbe nicht angegeben
reason-open-beads = { $how }, Beton enthält { $material_names }
reason-fluid-stated = { $mix_name }: als fließfähig angegeben, mit leichten Perlen
reason-fluid-likely = { $mix_name }: leichte Perlen, genug Wasser und Fließmittel zum Fließen
reason-weight = bis { $high_kg }
reason-above-guideline = über einem veröffentlichten Orientierungswert
reason-lifting-index = Hebeindex { $index_factor }
reason-flipped = wird in der Form gewendet
reason-carried = wird { $carry_way_m } getragen
reason-stairs = Zugang hat Treppen
reason-slings = an Strängen gehoben
reason-no-rating = keine Tragfähigkeit bekannt: { $items }
reason-inserts = an Transportankern gehoben
reason-vacuum = mit Vakuumsaugern gehoben
reason-suction = Sog der Form ist das { $times_factor }-Fache des Gewichts
reason-untested = Festigkeit nicht geprüft
reason-may-crack = Biegenachweis nicht erfüllt
reason-glued-to = an { $whole } geklebt, { $where ->
    [shop] in der Werkstatt
   *[site] auf der Baustelle
}
reason-glued-on = { $where ->
    [shop] { $marks } in der Werkstatt angeklebt, Gewichte und Personenzahl gelten für das geklebte Teil
   *[site] { $marks } auf der Baustelle angeklebt
}
reason-on-edge = hochkant getragen
reason-cutout-on-edge = hochkant getragen, breiter Ausschnitt
reason-open-rails = Ausschnitt an einer Kante offen
reason-slender = Steg von { $rail_m } am Ausschnitt
reason-stored-on-edge = hochkant gelagert
reason-stored-flat = liegend gestapelt
reason-wet-soil = mit nasser Erde gefüllt
reason-stands = bis { $high_kg } auf dem Boden, wo es lagert und steht
reason-permanent = steht dauernd auf Unterschränken und Boden
reason-planter = bis { $high_kg } voll nasser Erde
reason-hung = hängt an einer Wand
reason-overhang = Überstand von { $overhang_m }
reason-trucked = fährt mit dem LKW
reason-hot = Höchsttemperatur bis { $high_c }
reason-over-limit = Höchsttemperatur über der Grenze
reason-heat-added = wird beim Erhärten beheizt
kind-sand = Sand
kind-cement = Zement
kind-pozzolan = Puzzolan
kind-pigment = Pigment
item-lifting-inserts = Transportanker
