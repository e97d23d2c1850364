# Cautions whose sentence differs in British English.

caution-polystyrene-fire-load = Polystyrene beads burn fast, and the smoke can kill. Keep bead sacks away from flames, sparks, welding and heaters. Store only what the job needs and keep aisles clear. Ask your fire risk assessor about storage limits.
    .why = Expanded polystyrene ignites at about { $ignites_c }, drips as it burns, and its black smoke hides the way out.
caution-polystyrene-dust = Loose beads make floors slippery, and their dust can flash. Pour beads slowly, close to the mixer. Clean up spills at once and keep beads out of drains. Wear a respirator and earth the vacuum when you clean up beads or cut waste.
    .why = Beads cling, roll everywhere and float off in drains.
caution-polystyrene-uncoated = Uncoated beads build up static and can spark. Earth the vacuum and metal tools. Wet the beads with some of the mixing water and pozzolan first, or use coated beads.
    .why = Uncoated polystyrene clings, floats up in the mix and does not bond to the paste.
caution-wet-grinding = Wet power tools can electrocute you. Plug grinders, saws and polishers into a circuit with an RCD. Keep leads and plugs off the floor.
    .why = Slurry conducts electricity.
caution-mixer-guard = A turning paddle can tear off a hand or pull you in and kill you. Unplug or isolate the mixer before a hand, tool or scraper goes past the guard. No gloves, sleeves or leads near a turning drill or paddle.
    .why = The paddle is stronger than your arm and winds up whatever it catches.
