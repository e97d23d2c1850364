# Precauciones: peligro, consecuencia, acción.

severity-danger = PELIGRO
severity-warning = ADVERTENCIA
severity-note = NOTA

# Polvo, cemento, fibra

caution-silica-dust = El polvo de arena, cemento y puzolana contiene sílice. Daña los pulmones y mata. Use un respirador ajustado (P100 o P3). Vacíe los sacos bajo y despacio, con la extracción de polvo encendida. Limpie en mojado o con aspiradora HEPA. Nunca barra en seco ni use aire comprimido.
    .why = El daño de la sílice cristalina respirable en los pulmones es permanente. Nivel de acción 25 µg/m³ y límite 50 µg/m³ en 8 horas. El empleador evalúa la exposición.
caution-silica-cutting = Cortar o pulir produce polvo de sílice, que daña los pulmones y mata. Corte y pula en mojado, o con campana y extracción HEPA. Use un respirador ajustado. Mantenga lejos a quien no lleve protección. Haga los cortes en el taller si puede.
    .why = Cortar cubiertas en seco es un peligro de sílice reconocido: un corte breve puede agotar el límite de todo un día.
caution-wet-cement = El cemento fresco quema la piel y puede dejar ciego. Se siente demasiado tarde. Use guantes impermeables, mangas, botas y protección para los ojos. Arrodíllese sobre tablas, nunca en la mezcla. Lave las salpicaduras de inmediato. Quítese la ropa mojada. Lave los ojos 15 minutos y vea a un médico.
    .why = El cemento fresco tiene un pH de 12 a 13. Al principio no duele.
caution-mixer-guard = Una paleta en marcha puede arrancar una mano o arrastrar a una persona y matarla. Desconecte o bloquee la mezcladora antes de pasar una mano, herramienta o rasqueta por la guarda. Sin guantes, mangas ni cables cerca de un taladro o paleta en marcha.
    .why = La paleta es más fuerte que su brazo y enrolla todo lo que atrapa.
caution-wet-grinding = Las herramientas eléctricas mojadas pueden electrocutar. Conecte pulidoras y sierras a una toma con protección de falla a tierra. Mantenga cables y enchufes fuera del piso.
    .why = El lodo conduce la electricidad.
caution-finish-chemicals = El ácido, el sellador con solvente y la resina de dos partes queman ojos y pulmones, y su vapor puede encenderse. Ventile. Mantenga lejos llamas y chispas. Use protección para los ojos, guantes y el respirador que indica la hoja de datos.
    .why = El vapor se junta a ras del piso antes de que se huela.
caution-glass-fibre = La fibra de vidrio cortada pincha la piel y los ojos. Use guantes, mangas largas y protección para los ojos. Deje caer la fibra en la mezcladora, no la lance. Cuidado con las agujas de fibra en caras alisadas y rotas.
    .why = Los hilos cortados sueltan polvo irritante.
caution-fine-powder = El polvo fino queda en el aire y daña los pulmones. Use respirador. Abra los sacos de humo de sílice, pigmento y aditivo en polvo en la boca de la mezcladora o bajo extracción.
    .why = Estos polvos son más finos que el cemento, y algunos aditivos causan alergias en la piel.

# Poliestireno

caution-polystyrene-fire-load = Las perlas de poliestireno arden rápido y el humo puede matar. Mantenga los sacos lejos de llamas, chispas, soldadura y calentadores. Guarde solo lo que pide el trabajo y deje libres los pasillos. Pregunte a los bomberos por los límites de almacenaje.
    .why = El poliestireno expandido se enciende a unos { $ignites_c }, gotea al arder, y su humo negro tapa la salida.
caution-polystyrene-dust = Las perlas sueltas hacen resbaloso el piso y su polvo puede encenderse. Vierta las perlas despacio, cerca de la mezcladora. Recoja los derrames de inmediato y evite los desagües. Use respirador y conecte la aspiradora a tierra al recoger perlas o cortar sobrantes.
    .why = Las perlas se pegan, ruedan por todas partes y flotan en los desagües.
caution-polystyrene-uncoated = Las perlas sin recubrir acumulan estática y pueden dar chispa. Conecte a tierra la aspiradora y las herramientas de metal. Moje primero las perlas con parte del agua y la puzolana, o use perlas recubiertas.
    .why = El poliestireno sin recubrir se pega, flota en la mezcla y no se adhiere a la pasta.
caution-polystyrene-near-fire = Esta pieza va en o cerca de un fuego y la mezcla lleva poliestireno. Las perlas se funden y sueltan humo mortal, y el concreto húmedo puede reventar. Use un agregado ligero mineral: vidrio expandido, perlita o arcilla. Seque la pieza. Una persona calificada debe fijar las distancias.
    .why = Las perlas se ablandan desde unos { $softens_c } y sueltan gas en un fuego, donde nadie lo ve.
caution-polystyrene-hot-pans = Las ollas calientes dejan hoyos en esta cubierta. Pida al dueño que use siempre un salvamanteles. Proteja la cubierta junto a parrillas y hornos como pide su fabricante.
    .why = Las perlas cerca de la superficie se ablandan desde unos { $softens_c }. Los selladores se marcan antes.
caution-polystyrene-hot-sun = Una cara oscura a pleno sol puede ablandar las perlas detrás de ella. Elija un color más claro o un agregado ligero mineral. Deje una capa frontal sólida sobre las perlas.
    .why = Las perlas se ablandan desde unos { $softens_c }, y una cara oscura al sol de verano se acerca.
caution-polystyrene-solvents = Los solventes disuelven las perlas abiertas en caras cortadas y pulidas y dejan huecos. Use lechada, sellador y adhesivo a base de agua. Pruebe antes todo solvente o removedor en un recorte.
    .why = Pulir y cortar abre las perlas.
caution-beads-float = Las perlas flotan en una mezcla fluida: arriba queda débil y abajo pesada. Mantenga la mezcla espesa y use menos reductor de agua. Coloque a mano. No vibre.
    .why = Las perlas pesan mucho menos que la pasta.

# Levantar

caution-lift-two-person = Esta pieza pesa demasiado para una persona. Llévenla entre dos, uno en cada extremo. Uno da la orden. Usen guantes y botas de seguridad. Despejen antes el camino.
    .why = En su mayor peso pasa el límite del taller para una persona.
caution-lift-team = Un resbalón carga a los demás sin aviso. Lleven esta pieza entre tres o cuatro, cada uno en el lugar indicado. Uno da la orden. Recorran antes el camino sin carga. Usen un carro o mesa elevadora si pueden.
    .why = Un equipo levanta menos que la suma de sus miembros.
caution-lift-rehearsed = Ninguna guía publicada cubre una carga entre más de cuatro personas. Un resbalón tira la pieza sobre los demás y puede matar. Llévenla solo en piso plano, con correas o barras, con manos alrededor de todo el centro de gravedad. Recorran antes el camino sin carga. Nunca por escaleras. No la volteen ni desmolden a mano.
    .why = Nadie logra que tantas personas levanten parejo.
caution-lift-mechanical = No levante a mano. La pieza puede aplastar y matar a quien le caiga encima. Use polipasto, grúa, mesa elevadora o carro con capacidad para la carga indicada. Use operadores capacitados. Nadie debajo de la carga ni donde pueda caer.
    .why = La cuadrilla más grande pasaría el límite por persona, o no hay lugar para tantas manos.
caution-lift-above-guideline = Excede la guía de carga manual. Puede lesionar espalda y hombros. Evalúe antes la carga: altura, alcance, agarre, distancia, personas.
    .why = Pasa el peso de referencia publicado. Estar por debajo no hace segura la carga.
caution-lifting-index-high = Esta carga lesiona la espalda de la mayoría. Suba o baje el inicio y el final. Acérquela al cuerpo. Agregue una persona o use una máquina.
    .why = Con un índice de levantamiento mayor que 3 casi todos corren riesgo de lesión.
caution-lifting-index-raised = Esta carga puede lesionar la espalda. Levante a la altura de la cintura, cerca del cuerpo, con buen agarre. No gire el cuerpo.
    .why = Con un índice de levantamiento mayor que 1 algunas personas corren riesgo de lesión.
caution-turning = Al voltear se levantan juntos la pieza, el molde y el tablero de volteo. Use la cuadrilla de VOLTEO, no la de CARGA. Amarre todo junto y voltee sobre espuma.
    .why = Suele ser la carga más pesada del trabajo, con las manos en el borde.
caution-long-carry = Un camino largo cansa las manos. Descanse la pieza en el camino, o use un carro con apoyos de canto.
    .why = Los pesos de la guía valen para un camino corto sin descanso.
caution-stairs = Un resbalón en la escalera tira la pieza sobre quien va abajo. Cargan dos como máximo, el más fuerte abajo. Un tercero guía. Nadie más en la escalera. Use un carro subeescaleras donde lo diga la hoja.
    .why = Quien va abajo carga más de la mitad, con menos apoyo.
caution-rigging = Una carga que cae mata. Mantenga las eslingas a más de 30° de la horizontal. Use ramales con capacidad para la tensión indicada. Revise el equipo. Centre el gancho sobre el centro de gravedad. Use una cuerda guía. Nadie bajo la carga. Un aparejador calificado debe firmar la maniobra. Con montacargas, excavadora o manipulador telescópico, lleve la pieza en tarima. Nunca cuelgue la pieza de una de esas máquinas si su hoja de izaje no la indica como equipo.
    .why = Una eslinga abierta multiplica su propia tensión, y una pieza rígida en cuatro ramales cuelga de dos.
caution-rating-missing = Sin capacidad registrada para: { $items }. El equipo que falla suelta la carga y mata. Lea la placa de capacidad, o pregunte al fabricante, antes de cargar.
    .why = Nunca suponemos una capacidad.
caution-insert-strength = Un inserto que se arranca suelta la pieza y puede matar. Los insertos deben resistir cuatro veces su carga, y los herrajes cinco veces, a esa edad y espesor. Pruebe uno por arranque, o pídalo a un ingeniero.
    .why = Las tablas de los fabricantes son para concreto grueso y denso. Las piezas delgadas y ligeras se arrancan en un cono poco profundo.
caution-vacuum-lift = Las ventosas se sueltan sin aviso, y una pieza que cae mata. Pruebe las ventosas en esta cara, seca, antes de cada serie: no deben perder vacío con la bomba apagada. Ponga una cadena o correa de seguridad. Nunca levante sobre personas. Sin ventosas sobre el reverso sin acabar, una cara mojada o encerada, ni sobre un núcleo.
    .why = El concreto ligero deja pasar aire, y una cara mojada reduce la fricción a la mitad o menos.
caution-form-adhesion = La succión del molde es mayor que el peso de la pieza. El equipo elegido solo por peso puede fallar. Rompa primero el sello: quite los costados, meta aire o cuñas en un borde, despegue desde un lado. Nunca dé tirones con el polipasto.
    .why = La succión en una pieza delgada suma más que su propio peso.

# Lo que puede agrietarse, volcar o caer

caution-strength-untested = Esta mezcla no tiene prueba de resistencia. Cuele seis probetas de este colado y pruébelas antes de contar con ella al levantar.
    .why = Cambiar arena por perlas quita resistencia. Cuánto depende de la mezcla, su agua y su curado.
caution-may-crack = Esta pieza puede agrietarse si se carga o se iza de otra manera que la indicada. Siga la hoja de izaje. Deje curar la pieza hasta probar su resistencia.
    .why = El esfuerzo de flexión se acerca demasiado a la resistencia a la primera grieta a esa edad, o no está probada.
caution-tilt-on-long-edge = Inclinada sobre un extremo corto o una esquina, esta pieza puede agrietarse. Levántela solo sobre su canto largo. Apoye ese canto en espuma.
    .why = Sobre el canto largo se flexiona a lo ancho, no a lo largo.
caution-cutout-on-edge = Las tiras junto a una abertura se agrietan primero. Sujete una viga de refuerzo con prensas a través de la abertura antes de inclinar la pieza. Ponga abajo la tira más ancha. Apoye en espuma a ambos lados de la abertura, nunca en ella ni debajo.
    .why = Las tiras junto a una abertura llevan toda la flexión.
caution-slender-strip = Una tira junto a la abertura mide menos de { $rail_m } y puede romperse. Sujete una viga de refuerzo con prensas a través de la abertura antes de desmoldar. Déjela hasta colocar la pieza. Nunca levante por la tira.
    .why = Toda la flexión de la pieza pasa por esa tira.
caution-open-rails = La abertura llega hasta un borde y sus tiras pueden romperse. Sujete una viga de refuerzo con prensas a través de la muesca antes de desmoldar. Déjela hasta colocar la pieza. Nunca levante por una tira.
    .why = Cada tira se sostiene de un solo extremo.
caution-glued-parts = Una pata o un salpicadero pegado puede desprenderse y caer sobre alguien. Apuntálelo por dentro hasta que el adhesivo fragüe. Nunca levante ni cargue la pieza por la parte pegada.
    .why = Una unión pegada es débil a la flexión, y una pata hace palanca.
caution-stands-on-edge = Una pieza de canto vuelca y ha matado a quienes trataron de detenerla. Guárdela de canto solo en un rack ranurado o amarrada. Nunca apoye una pieza suelta contra una pared o caballete. Quédese fuera de donde pueda caer. Calce el caballete y cárguelo parejo por ambos lados. Amarre las piezas antes de mover o abrir el camión. Descargue una por una, alternando lados.
    .why = Una losa delgada de canto vuelca con 2 o 3 grados.
caution-stored-stacks = Una pila torcida agrieta las piezas de abajo y se cae. Apile sobre separadores alineados, en una base plana. Ponga abajo las piezas pesadas. No apile más alto que el ancho de la base, tampoco sacos.
    .why = Los separadores desalineados doblan las piezas de abajo.
caution-floor-load = Racks, pilas, cubiertas y jardineras llenas pueden sobrecargar un piso. Compare con la carga de piso indicada o de diseño. Pregunte a un ingeniero con licencia si no está indicada.
    .why = La carga es concentrada y permanente. Los pisos y balcones se hacen para menos.
caution-planter-soil = Llena de tierra mojada, una jardinera de aquí pesa hasta { $high_kg }. Colóquela vacía. Deje libre el desagüe. Nunca la mueva llena. Afuera, amárrela mientras está vacía, porque el viento puede volcarla.
    .why = La tierra mojada pesa varias veces más que la jardinera.
caution-hung-panel = Un panel que se suelta mata. Las cargas de anclaje indicadas son solo de peso propio. Un ingeniero con licencia debe diseñar los anclajes y el muro de respaldo para viento y sismo.
    .why = El viento y el sismo no están en estas cifras.
caution-counter-overhang = Este voladizo puede romperse bajo una persona. Ponga debajo una base, ménsulas o un marco. Las ménsulas indicadas son solo una sugerencia. Un ingeniero debe dimensionar ménsulas y fijaciones.
    .why = La gente se sienta y se apoya en los voladizos.
caution-tie-down = Una carga que se mueve puede aplastar personas o caer del camión. Use por lo menos las correas indicadas. Su carga de trabajo debe ser por lo menos la mitad del peso de la carga. Proteja los bordes.
    .why = Solo al frenar, la carga tira con casi todo su peso.
caution-access-not-shown = Esta pieza puede no pasar por el acceso. Mida en la obra, o cuele la pieza en dos con una junta donde se indica.
    .why = Si no, lo sabrá en la puerta, con la pieza en las manos.

# Calor

caution-heat-of-hydration = Esta pieza puede calentarse demasiado al curar, agrietarse y quemar las manos. Sin manta de curado. Use agua más fría o cuele por capas. Use guantes al destapar.
    .why = Arriba de { $harmed_c } la pasta se daña para siempre, las perlas se ablandan y las caras calientes se agrietan al enfriarse.
caution-curing-heater = Los calentadores en una carpa de curado causan incendios y la llenan de monóxido de carbono, que mata. Use solo calentadores eléctricos o con salida de gases. Manténgalos lejos de plástico y perlas. Vigílelos, o use un corte automático.
    .why = El plástico y el poliestireno se encienden, y el monóxido de carbono no huele.

# Quién decide

caution-who-governs = Solo para planear. Estas cifras no reemplazan el criterio de una persona calificada. Deciden los códigos locales, las capacidades del fabricante, un ingeniero con licencia y un aparejador calificado.
    .why = El programa ve solo el archivo del trabajo, no el piso, el clima, el equipo ni la gente.

# Por qué una precaución vale para una pieza.

reason-always = vale para toda pieza
reason-holds = la mezcla lleva { $kinds }
reason-cement = la mezcla lleva cemento
reason-glass-fiber = la mezcla lleva fibra de vidrio
reason-mixed = se mezcla con máquina
reason-cut-on-site = se corta en la obra
reason-honed = se pule
reason-trimmed = las cubiertas suelen recortarse en la obra
reason-ground-wet = se pule en mojado
reason-sealed = se sella
reason-contains = la mezcla lleva { $material_names }
reason-fire = va cerca de un fuego, la mezcla lleva { $material_names }
reason-dark-outdoors = oscura y a la intemperie
reason-color-unknown = a la intemperie, color no indicado
reason-open-beads = { $how }, la mezcla lleva { $material_names }
reason-fluid-stated = { $mix_name } se indica como fluida y lleva perlas ligeras
reason-fluid-likely = { $mix_name } lleva perlas ligeras y agua y plastificante para fluir
reason-weight = hasta { $high_kg }
reason-above-guideline = pasa un peso de referencia publicado
reason-lifting-index = índice de levantamiento { $index_factor }
reason-flipped = se voltea en su molde
reason-carried = se lleva { $carry_way_m }
reason-stairs = el acceso tiene escaleras
reason-slings = se iza con eslingas
reason-no-rating = sin capacidad registrada: { $items }
reason-inserts = se iza por insertos
reason-vacuum = se iza con ventosas
reason-suction = la succión del molde es { $times_factor } veces el peso
reason-untested = sin prueba de resistencia
reason-may-crack = no pasa la revisión de flexión
reason-glued-to = pegada a { $whole } { $where ->
    [shop] en el taller
   *[site] en la obra
}
reason-glued-on = { $where ->
    [shop] { $marks } se pega en el taller, pesos y cuadrillas son de la pieza pegada
   *[site] { $marks } se pega en la obra
}
reason-on-edge = se lleva de canto
reason-cutout-on-edge = se lleva de canto, abertura ancha
reason-open-rails = abertura hasta un borde
reason-slender = tira de { $rail_m } junto a la abertura
reason-stored-on-edge = se guarda de canto
reason-stored-flat = se apila acostada
reason-wet-soil = se llena de tierra mojada
reason-stands = hasta { $high_kg } sobre el piso donde se guarda y coloca
reason-permanent = queda sobre gabinetes y piso para siempre
reason-planter = hasta { $high_kg } llena de tierra mojada
reason-hung = cuelga de un muro
reason-overhang = voladizo de { $overhang_m }
reason-trucked = va en camión
reason-hot = pico hasta { $high_c }
reason-over-limit = el pico pasa el límite
reason-heat-added = se agrega calor al curar

kind-sand = arena
kind-cement = cemento
kind-pozzolan = puzolana
kind-pigment = pigmento
item-lifting-inserts = insertos de izaje
