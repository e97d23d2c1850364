# What the curing figures assume or must be watched for, in the workings and the document; and warnings of curing.

curing-assumptions = What the curing figures assume
curing-computed = Temperatures and hours are calculated, not measured. Put a thermometer in the first pour.
curing-no-trial = Contains retarder: no strip time without a trial. Strip on coupons, or enter the delay: cure.set_delay = "4 h".
curing-blanket-round = The curing blanket goes around piece and form. Laid on top only, it keeps about half as much heat.
curing-dries-fast = Evaporation uncovered { $rate_kg_m2_h } (limit { $limit_kg_m2_h }). Stop the draft or cover at once.
curing-set-modified = A retarder or accelerator shifts the hours given here. The peak changes little.
curing-strip-strength = Stripping strength is taken as { $strength_share } of the 28-day strength by the curve of EN 1992-1-1. Confirm it with coupons of this mix.
curing-indoors = Indoors, out of the sun. The room is taken at one temperature, day and night.
curing-cold-weather = Cold weather: warm form, mix and room first. Nothing may freeze before the piece is strong.
curing-no-humidity = Humidity not given: the water lost before covering was not checked.
curing-water-gone = { $gone_share } of the mixing water is gone after { $uncovered_s } uncovered. Cover within { $minutes } min to lose less than { $notable_share }.
curing-mesh-too-large = The mesh is too large to look inside: its least outer size stands for its thickest spot. Enter cure = { "{" } thickest = "2 in", thinnest = "1 in" { "}" }.
curing-cast-in = Parts cast in make the piece thinner in places. Enter cure.thinnest if that is less than the section here.
curing-sections = Heat is checked at the thickest spot ({ $thick_m }), cooling and drying at the thinnest ({ $thin }, { $thin_m }).
curing-layers-averaged = The layers are averaged through the thickness.
curing-white-cement = No mill certificate for the white cement. Heat is estimated as ordinary gray cement. White may run hotter and faster. Enter the mill certificate, or put a thermometer in a trial piece.
curing-low-c4af = C4AF { $c4af } is below the model's data ({ $lowest }). An activation energy of at least { $activation } kJ/mol is assumed.
curing-silica-fume = Silica fume is { $fume_share } of the cementitious. The heat model's data end at { $highest_share }.
curing-layer-fume = Silica fume is { $fume_share } of the cementitious in one layer. The heat model's data end at { $highest_share }.
curing-assumed-cement = No mill certificate: ordinary portland cement is assumed (C3S { $c3s_share }, C3A { $c3a_share }, { $blaine } m²/kg).
curing-pozzolan = { $pozzolan_share } of the cementitious is a pozzolan without heat data: counted as cement on the hot side, as nothing on the cold side.
warning-thickness-estimated = { $keys ->
    [both] The thickest and the thinnest section are estimated, for heat and drying. Enter cure.thickest and cure.thinnest.
    [thickest] The thickest section is estimated, for heat. Enter cure.thickest.
   *[thinnest] The thinnest section is estimated from volume and surface, for cooling and drying. Enter cure.thinnest.
}
curing-plot = Temperature inside: hottest piece, slowest to harden
curing-plot-limit = limit { $limit_c }
curing-plot-least = thin sections at least { $thin_c }
curing-plot-hot = hot
curing-plot-cold = cold

# Sections of a piece that heat and drying go by.
section-body = body
section-thickest = thickest, as stated in the job
section-thinnest = thinnest, as stated in the job
section-sphere = largest sphere inside
section-slab = slab
section-taper-end = far end of the taper
section-drop = drop edge
section-rim = rim of a cutout
section-skin = skin
section-return = return
section-opening-return = return of an opening
section-rib = rib
section-wall = wall
section-base = base
