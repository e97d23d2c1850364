# Cautions: hazard, consequence, action. The id is caution-ID of catalogs/cautions.toml; .why says the reason.
# They stand on the sheets of those whom they concern, and in the estimate document.

severity-danger = DANGER
severity-warning = WARNING
severity-note = NOTE

# Dust, cement, fiber

caution-silica-dust = Dust of sand, cement and pozzolan contains silica. It scars the lungs and kills. Wear a fitted respirator (P100 or P3). Empty bags low and slowly with dust extraction running. Clean up wet or with a HEPA vacuum. Never dry-sweep or use compressed air.
    .why = Lung scarring from respirable crystalline silica is permanent. Action level 25 µg/m³ and limit 50 µg/m³ over 8 hours. The employer assesses the exposure.
caution-silica-cutting = Cutting or grinding makes silica dust, which scars the lungs and kills. Cut and grind wet, or with a shroud and HEPA extraction. Wear a fitted respirator. Keep unprotected people away. Make cuts in the shop where you can.
    .why = Dry cutting of countertops is a named silica hazard: one short cut can use up a whole day's limit.
caution-wet-cement = Wet cement burns skin and can blind. You feel it too late. Wear waterproof gloves, sleeves, boots and eye protection. Kneel on boards, never in the mix. Rinse splashes off at once. Take off wet clothes. Rinse eyes for 15 minutes and see a doctor.
    .why = Wet cement has a pH of 12 to 13. It does not hurt at first.
caution-mixer-guard = A turning paddle can tear off a hand or pull you in and kill you. Unplug or lock out the mixer before a hand, tool or scraper goes past the guard. No gloves, sleeves or cords near a turning drill or paddle.
    .why = The paddle is stronger than your arm and winds up whatever it catches.
caution-wet-grinding = Wet power tools can electrocute you. Plug grinders, saws and polishers into ground-fault protection. Keep cords and plugs off the floor.
    .why = Slurry conducts electricity.
caution-finish-chemicals = Acid, solvent sealer and two-part resin burn eyes and lungs, and their vapor can ignite. Ventilate. Keep flames and sparks away. Wear eye protection, gloves and the respirator named on the data sheet.
    .why = Vapor collects at floor level before you smell it.
caution-glass-fibre = Chopped glass fiber pricks skin and eyes. Wear gloves, long sleeves and eye protection. Drop fiber into the mixer, do not throw it. Watch for fiber needles on troweled and broken faces.
    .why = Chopped strands make irritating dust.
caution-fine-powder = Fine powder hangs in the air and harms the lungs. Wear a respirator. Open bags of silica fume, pigment and powder admixture down at the mixer opening or under dust extraction.
    .why = These powders are finer than cement, and some admixtures cause skin allergies.

# Polystyrene

caution-polystyrene-fire-load = Polystyrene beads burn fast, and the smoke can kill. Keep bead sacks away from flames, sparks, welding and heaters. Store only what the job needs and keep aisles clear. Ask the fire marshal about storage limits.
    .why = Expanded polystyrene ignites at about { $ignites_c }, drips as it burns, and its black smoke hides the way out.
caution-polystyrene-dust = Loose beads make floors slippery, and their dust can flash. Pour beads slowly, close to the mixer. Clean up spills at once and keep beads out of drains. Wear a respirator and ground the vacuum when you clean up beads or cut waste.
    .why = Beads cling, roll everywhere and float off in drains.
caution-polystyrene-uncoated = Uncoated beads build up static and can spark. Ground the vacuum and metal tools. Wet the beads with some of the mixing water and pozzolan first, or use coated beads.
    .why = Uncoated polystyrene clings, floats up in the mix and does not bond to the paste.
caution-polystyrene-near-fire = This piece stands in or near a fire, and the mix holds polystyrene. The beads melt out and give off deadly smoke, and damp concrete can burst. Use a mineral light aggregate: expanded glass, perlite or clay. Dry the piece out. Have a qualified person set the clearances.
    .why = Beads soften from about { $softens_c } and give off gas in a fire, where nobody sees it.
caution-polystyrene-hot-pans = Hot pans leave pits in this counter. Tell the owner to use a trivet every time. Shield the counter beside cooktops and ovens as their manufacturers require.
    .why = Beads near the surface soften from about { $softens_c }. Sealers mark even sooner.
caution-polystyrene-hot-sun = A dark face in full sun can soften the beads behind it. Choose a lighter color or a mineral light aggregate. Keep a solid face coat over the beads.
    .why = Beads soften from about { $softens_c }, and a dark face in summer sun comes close.
caution-polystyrene-solvents = Solvents dissolve open beads on cut and honed faces and leave holes. Use water-based slurry, sealer and adhesive. Test any solvent or stripper on an offcut first.
    .why = Honing and cutting open the beads.
caution-beads-float = Beads float in a fluid mix, so the top ends up weak and the bottom heavy. Keep this mix stiff and use less water reducer. Place it by hand. Do not vibrate.
    .why = Beads are far lighter than the paste around them.

# Lifting

caution-lift-two-person = This piece is too heavy for one person. Carry it with two people, one at each end. One person calls the lift. Wear gloves and safety boots. Clear the path first.
    .why = At its heaviest it is over the shop's limit for one person.
caution-lift-team = A slip loads the others without warning. Carry this piece with three or four people, each at the place shown. One person calls the lift. Walk the route empty first. Use a cart or lift table if you can.
    .why = A team lifts less than the sum of its members.
caution-lift-rehearsed = No published guidance covers a carry by more than four people. A slip drops the load on the others and can kill. Carry on level ground only, on straps or bars, with hands all around the center of gravity. Walk the route empty first. Never carry it on stairs, flip it or strip it by hand.
    .why = Nobody can keep that many people lifting evenly.
caution-lift-mechanical = Do not lift by hand. The piece can crush and kill whoever it falls on. Use a hoist, crane, lift table or cart rated for the load shown. Use trained operators. Keep everyone out from under the load and out of the fall path.
    .why = The largest crew would be over the limit per person, or there is no room for that many hands.
caution-lift-above-guideline = Over the manual-handling guideline. It can injure backs and shoulders. Do a lift assessment first: height, reach, grip, distance, people.
    .why = It is over the published screening weight. Being under it does not make a lift safe.
caution-lifting-index-high = This lift injures most backs. Raise or lower where it starts and ends. Bring it closer. Add a person or use a machine.
    .why = A lifting index over 3 puts nearly everyone at risk of back injury.
caution-lifting-index-raised = This lift can injure your back. Lift at waist height, close to the body, with a good grip. Do not twist.
    .why = A lifting index over 1 puts some people at risk of back injury.
caution-turning = When you flip it you lift the piece, the form and the flip board together. Use the FLIP crew, not the CARRY crew. Strap everything together and flip onto foam.
    .why = It is often the heaviest lift of the job, with hands at the edge.
caution-long-carry = A long carry tires hands and grip. Set the piece down to rest on the way, or use a cart with edge rests.
    .why = The guideline weights hold for a short carry without rest.
caution-stairs = A slip on stairs throws the piece onto the person below. Two people carry at most, the stronger one below. A third person guides. Keep everyone else off the flight. Use a stair climber where the sheet says so.
    .why = The person below carries more than half, with less footing.
caution-rigging = A dropped load kills. Keep sling angles above 30° from horizontal. Use legs rated for the tension shown. Inspect the gear. Center the hook over the center of gravity. Use a tag line. Nobody under the load. A qualified rigger must sign off the lift. On a forklift, excavator or telehandler, carry the piece on a pallet. Never hang the piece from such a machine unless its lift sheet lists the machine as gear.
    .why = A flat sling multiplies its own tension, and a rigid piece on four legs hangs on two of them.
caution-rating-missing = No load rating on file for: { $items }. Gear that fails drops its load and kills. Read the rating plate, or ask the manufacturer, before you load it.
    .why = We never guess a rating.
caution-insert-strength = A lifting insert that pulls out drops the piece and can kill. Inserts must carry four times their load, lifting hardware five times, at that age and thickness. Prove one by a pull test, or have an engineer do it.
    .why = Manufacturers' tables are for thick, dense concrete. Thin light pieces pull out a shallow cone.
caution-vacuum-lift = Vacuum pads let go without warning, and a falling piece kills. Leak-test the pads on this face, dry, before each run: they must stay tight with the pump off. Rig a safety chain or strap. Never lift over people. Set no pad on a raw back, a wet or waxed face, or over a core.
    .why = Light concrete leaks, and a wet face halves the friction or worse.
caution-form-adhesion = Suction in the form is stronger than the weight of the piece. Gear sized by weight alone can fail. Break the seal first: sides off, air or wedges at one edge, peel from one side. Never jerk it with the hoist.
    .why = Suction on a thin piece adds more than its own weight.

# What may crack, tip or fall

caution-strength-untested = This mix has not been strength-tested. Cast six coupons from this pour and test them before you count on it in a lift.
    .why = Replacing sand with beads costs strength. How much depends on the batch, its water and its cure.
caution-may-crack = This piece may crack if you carry or lift it any other way than shown. Follow the lift sheet. Let the piece cure until its strength is tested.
    .why = The bending stress comes too close to the first-crack strength at that age, or that strength is not tested.
caution-tilt-on-long-edge = Tilted about a short end or a corner, this piece may crack. Tilt it up about its long edge only. Rest that edge on foam.
    .why = Tilted about a long edge it bends over its width, not its length.
caution-cutout-on-edge = The rails beside a cutout crack first. Clamp a strongback across the cutout before you tilt the piece. Put the wider rail down. Bear on foam on both sides of the cutout, never on or under it.
    .why = The rails beside a cutout carry all of the bending.
caution-slender-strip = A rail at the cutout is under { $rail_m } and may snap. Clamp a strongback across the cutout before you strip the form. Leave it on until the piece is set. Never lift by the rail.
    .why = All the bending of the piece goes through that rail.
caution-open-rails = The cutout is open at an edge, so its rails may snap. Clamp a strongback across the notch before you strip the form. Leave it on until the piece is set. Never lift by a rail.
    .why = Each rail is held at one end alone.
caution-glued-parts = A glued leg or splash can break off and fall on somebody. Brace it inside until the adhesive has set. Never lift or carry the piece by the glued part.
    .why = A glued joint is weak in bending, and a leg is a long lever.
caution-stands-on-edge = A piece on edge tips over and has killed people who tried to catch it. Store on edge only in a slotted rack or strapped. Never lean a piece loose on a wall or A-frame. Stay out of the fall path. Chock the A-frame and load both sides evenly. Strap the pieces before the truck moves or opens. Unload one at a time, alternating sides.
    .why = A thin slab on edge tips within 2 or 3 degrees.
caution-stored-stacks = A crooked stack cracks the pieces below and topples. Stack on stickers, in line above one another, on a flat base. Put heavy pieces below. Stack no higher than the base is wide, bags and sacks included.
    .why = Stickers out of line bend the pieces below.
caution-floor-load = Racks, stacks, counters and filled planters can overload a floor. Check them against the posted or design floor load. Ask a licensed engineer where none is posted.
    .why = The load is concentrated and stays. Floors and balconies are built for less.
caution-planter-soil = Full of wet soil a planter here weighs up to { $high_kg }. Set it empty. Keep the drain open. Never move it full. Outdoors, tie it down while it is empty, because wind can tip it.
    .why = Wet soil weighs several times more than the planter.
caution-hung-panel = A panel that comes loose kills. Anchor loads shown are dead load only. A licensed engineer must design the anchors and backup wall for wind and seismic.
    .why = Wind and seismic loads are not in these figures.
caution-counter-overhang = This overhang may break off under a person. Put a subtop, brackets or a frame under it. Brackets shown are suggestions only. Have an engineer size the brackets and fasteners.
    .why = People sit and lean on overhangs.
caution-tie-down = A load that shifts can crush people or leave the truck. Use at least the straps listed. Their working load must be at least half of the cargo weight. Pad the edges.
    .why = Braking alone pulls on the load with most of its weight.
caution-access-not-shown = This piece may not fit through the access. Measure on site, or cast it in two with a seam where shown.
    .why = Otherwise you find out in the doorway, with the piece in your hands.

# Heat

caution-heat-of-hydration = This piece may overheat while it cures, crack and burn hands. No curing blanket. Use cooler water or cast in layers. Wear gloves when you uncover it.
    .why = Above { $harmed_c } the paste is damaged for good, beads soften, and hot faces crack as they cool.
caution-curing-heater = Heaters in a curing tent start fires and fill it with deadly carbon monoxide. Use electric or vented heaters only. Keep them away from plastic and beads. Watch them, or use a safety cutoff.
    .why = Plastic sheet and polystyrene catch fire, and carbon monoxide has no smell.

# Deferral

caution-who-governs = For planning only. These numbers do not replace a qualified person's judgment. Local codes, the gear manufacturers' ratings, a licensed engineer and a qualified rigger govern.
    .why = The program sees only the job file, not the floor, the weather, the gear or the people.

# Why a caution applies to a piece: "C1: honed", in the estimate document and on the summary.

reason-always = applies to every piece
reason-holds = mix holds { $kinds }
reason-cement = mix holds cement
reason-glass-fiber = mix holds glass fiber
reason-mixed = mixed by machine
reason-cut-on-site = cut on site
reason-honed = honed
reason-trimmed = counters are often trimmed on site
reason-ground-wet = ground wet
reason-sealed = sealed
reason-contains = mix holds { $material_names }
reason-fire = stands near a fire, mix holds { $material_names }
reason-dark-outdoors = dark and outdoors
reason-color-unknown = outdoors, color not given
reason-open-beads = { $how }, mix holds { $material_names }
reason-fluid-stated = { $mix_name } is stated to be fluid and holds light beads
reason-fluid-likely = { $mix_name } holds light beads and enough water and plasticizer to flow
reason-weight = up to { $high_kg }
reason-above-guideline = over a published screening weight
reason-lifting-index = lifting index { $index_factor }
reason-flipped = flipped in its form
reason-carried = carried { $carry_way_m }
reason-stairs = access has stairs
reason-slings = lifted by slings
reason-no-rating = no load rating: { $items }
reason-inserts = lifted by inserts
reason-vacuum = lifted by vacuum pads
reason-suction = suction in the form is { $times_factor } times the weight
reason-untested = no strength test
reason-may-crack = bending check not passed
reason-glued-to = glued to { $whole } { $where ->
    [shop] in the shop
   *[site] on site
}
reason-glued-on = { $where ->
    [shop] { $marks } glued on in the shop, weights and crews are of the glued piece
   *[site] { $marks } glued on site
}
reason-on-edge = carried on edge
reason-cutout-on-edge = carried on edge, wide cutout
reason-open-rails = cutout open at an edge
reason-slender = rail of { $rail_m } at the cutout
reason-stored-on-edge = stored on edge
reason-stored-flat = stacked flat
reason-wet-soil = filled with wet soil
reason-stands = up to { $high_kg } on the floor where it is stored and set
reason-permanent = stands on cabinets and floor for good
reason-planter = up to { $high_kg } full of wet soil
reason-hung = hangs on a wall
reason-overhang = overhang of { $overhang_m }
reason-trucked = goes by truck
reason-hot = peak up to { $high_c }
reason-over-limit = peak is over the limit
reason-heat-added = heat is added while it cures

kind-sand = sand
kind-cement = cement
kind-pozzolan = pozzolan
kind-pigment = pigment
item-lifting-inserts = lifting inserts
