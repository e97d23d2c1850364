# The shop page

page-skip = Skip to content
page-screens = Screens
page-jobs = Jobs
page-desk = Job
page-sheet = All entries
page-papers = Papers
page-data = Data
page-crew = Crew
page-search = Search jobs
page-search-hint = Job, client, mark, or mix
page-new-job = New job
page-no-jobs = No jobs here yet. Drop a drawing, a model or a list of pieces to start one.
page-no-match = No job matches “{ $search }”.
page-more = More
page-copy = Copy
page-copy-title = Name of the copy
page-archived = Archive ({ $count })
page-bring-back = Bring back
page-archive = Move to archive
page-status = { $stage ->
    [ballpark] Budget price
    [sent] Sent
    [accepted] Accepted
    [templated] Templated
    [released] Released
   *[quoted] Quoted
  }
page-next = { $stage ->
    [ballpark] Next: firm up the price
    [sent] Next: hear from the client
    [accepted] Next: release the job
    [templated] Next: release the job
    [released] Next: pour
   *[quoted] Next: send the quote
  }
page-next-problem = Next: fix the job file
page-max-weight = Max. weight
page-total-taxed = Total due, tax included
page-job-name = Job name
page-units = Units
page-imperial = Inches and pounds
page-metric = Millimeters and kilograms
page-mark = Mark
page-length = Length
page-width = Width
page-thickness = Thickness
page-length-examples = Enter each size with its unit: { $units ->
    [metric] 1850 mm, 650 mm, 30 mm.
    [imperial] 72 in, 6' 3-1/2", 25-1/2".
   *[both] 72 in, 6' 3-1/2", 25-1/2", 30 mm.
  }
page-like = Shop, prices and mixes
page-like-catalog = Those of the catalog
page-put-file = { $label }: choose a file
page-put-this = Put it into the job
page-of-schedule = This piece is a row of a piece schedule. To change it here, list the rows in the job. The file then no longer counts.
page-list-rows = List the rows in the job
page-no-such-job = That job is no longer here.
    .fix = Choose another.
page-make-job = Make the job
page-or-type = Or type the first piece
page-drop-files = Drop drawings, models or a piece schedule here
page-drop-kinds = DXF, SVG, PDF, STL, OBJ, 3MF, STEP, CSV, XLSX and more, up to 20 files
page-read-files = Read the files
page-from-files = From your files
page-other-files = Choose other files
page-as-read = What was read from { $file }: pieces, sizes, edges, and what was left out
page-edge-lines = What are the lines on layer { $layer }?
page-edge-along = They run along { $marks ->
    [none] edges of pieces
   *[other] edges of { $marks }
  }.
page-edge-work = { $kind ->
    [drop] Drop edge
    [waterfall] Waterfall leg
    [splash] Backsplash
    [profile] Edge profile
    [raw] Edge against a wall
   *[none] None of these
  }
page-no-edge-work = What the lines on layer { $name } are is missing.
    .fix = Choose one.
page-no-edge-size = A size for the lines on layer { $name } is missing.
    .fix = Enter it with its unit, such as: 2 in.
page-edge = { $number }: { $side ->
    [front] front, { $length_m }
    [back] back, { $length_m }
    [left] left, { $length_m }
    [right] right, { $length_m }
   *[none] { $length_m }
  }
page-edge-picture = The piece from above, with the numbers of its edges
page-which-size = { $file } names no unit. Which size is your largest piece?
page-beside-door = Drawn beside a 32 × 80 in door.
page-drawn-in = { $unit ->
    [in] drawn in inches
    [ft] drawn in feet
    [mm] drawn in millimeters
    [cm] drawn in centimeters
   *[m] drawn in meters
  }
page-which-page = Which page of { $file } holds the pieces?
page-which-scale = At which scale is { $file } drawn?
page-scale = Scale
page-two-points = Or click two corners, and enter their true distance.
page-sheet-outlines = Outlines of { $file }
page-first-point = First point, mm
page-second-point = Second point, mm
page-true-distance = True distance
page-no-point = “{ $text }” is not a point.
    .fix = Click a corner, or enter x and y in millimeters on the page, such as 50, 60.
page-points-alike = The distance between the two points is zero.
    .fix = Mark two different points and enter the distance between them.
page-thickness-drawn = Thickness of the drawn pieces
page-use = Use
page-use-counter = Counter
page-use-panel = Wall panel
page-use-planter = Planter
page-use-basin = Basin
page-use-fire = Fire feature
page-use-other = Other
page-add-pieces = Add the pieces
page-file-unknown = This format can't be read. Save it as DXF, SVG, PDF, STL, STEP, CSV or XLSX.
page-file-table = A piece schedule. Its rows are read when you add it.
page-no-files = No files came.
    .fix = Choose at least one file.
page-names-alike = Two of the files have the same name.
    .fix = Rename one of them.
page-name-refused = “{ $name }” can't be a file name here.
    .fix = Rename the file: letters, digits, spaces and hyphens.
page-file-taken = The job has another file called { $name }.
    .fix = Rename the new file.
page-mix = Mix
page-mix-of-pieces = Mix in these pieces
page-sand-replaced = Sand replaced
page-slide = Slide, or use ← →. Shift: by { $step_share }
page-fresh-weight = Fresh weight
page-use-share = Use this share in the job
page-use-note = The job stays as it is until you press this.
page-too-heavy = Too heavy for two people
page-side-by-side = Side by side, up to four
page-in-this-job = In this job
page-in-water = In water
page-floats = Floats
page-sinks = Sinks
page-strength-test = Strength test
page-tested = Tested
page-untested = None
page-coupons-first = A mix here has no strength test. Cast six coupons and test them before you count on it in a lift.
page-put-beside = Put this share in the table
page-liftable = Make { $mark } lighter
page-make-lighter = Make it lighter
page-as-drawn = As drawn
page-parts = Cast in { $count } parts.
page-untested-way = May crack, not tested.
page-accept = I accept that its strength is not tested.
page-use-way = Use this
page-accept-untested = The strength of this way is not tested.
    .fix = Tick the box to accept it, or choose another way.
page-act-ratings = Enter ratings
page-act-doors = Enter doors
page-act-floor = Enter the floor load
page-act-bed = Enter a larger truck
page-act-pallet = Enter a larger pallet
page-act-rack = Enter a wider rack
page-act-pads = Enter smaller pads
page-act-vacuum = Enter the vacuum of { $mark }
page-act-inserts = Enter the inserts of { $mark }
page-act-picks = Enter pick points of { $mark }
page-act-overhang = Enter the overhang of { $mark }
page-act-coupons = Enter strength tests
page-act-lighter = Make { $mark } lighter
page-act-rigger = Print the lift sheet for a rigger
page-coupon-rows = Enter coupons of { $mix }, from a file or one by one
page-way = Way to this entry
page-new-entry = { $name }: new entry
version-change = Piece that changes
version-new-piece = A new piece
version-none = No piece
version-choose = Choose what changes
version-lines = What changes
version-title = { $mark } in { $name }
version-lead = Type over what changes. The rest stays as it is in the job.
version-was = In the job: { $text }
version-rest = More of this piece
version-leave = Leave { $mark } as it is in the job
version-swap = Instead of { $mix }
version-marks = { $key ->
    [remove] Pieces to leave out
   *[pieces] Pieces with the other mix. None ticked: all.
  }
page-not-a-table = “{ $text }” is not a table.
    .fix = Write it like this: { "{" } edge = 2, from = "4 in", to = "20 in" { "}" }.
page-keys = Keys
page-key-new = New job, or new piece
page-key-pieces = Next piece, from the list
page-key-take = Take the size
page-key-back = Put the size back
page-letters = Single letters act outside fields
page-close = Close
page-section-job = Job and client
page-section-pieces = Pieces
page-section-mixes = Mixes and materials
page-section-money = Price, suppliers and versions
page-section-shop = Shop and site
entry-alternative = Alternates
entry-at = Position
entry-c2s = C2S
entry-c3a = C3A
entry-c3s = C3S
entry-c4af = C4AF
entry-cao = CaO
entry-free_cao = Free CaO
entry-mgo = MgO
entry-so3 = SO3
entry-item = Outline number
entry-lump = Lump sum
entry-practice = Advice on batch sheets
entry-show = Prices on the quote
entry-swap = Swap mixes
entry-taken = Taken by the client
entry-traits = Hazards
entry-bucket = Weighed bucket
entry-business = Your business
entry-change = Change orders
entry-cure = Curing
entry-cutouts = Cutouts
entry-drawing = Drawings
entry-form = Forms
entry-lots = Lots in use
entry-option = Options
entry-piece = Pieces
entry-schedule = Piece schedules
entry-sign_off = Sign-offs
entry-site = Site access
entry-client-site = Site address
entry-stock = Stock on hand
entry-supplier = Suppliers
entry-workshop = Shop settings
page-add-piece-title = Add a piece
page-type-size = Type its size
page-kind = Kind of shape
page-kind-slab = Slab
page-kind-panel = Panel
page-kind-box = Box
page-kind-revolution = Turned shape
page-kind-extrusion = Molding
page-points-lines = One point a line, with a comma between its two numbers.
page-count = Pieces
page-add-this = Add this piece
page-no-mark = The piece has no mark.
    .fix = Enter a mark, such as C3.
page-no-size = { $label } is missing.
    .fix = Enter a size with its unit, such as 72 in.
page-pieces = Pieces
page-add-piece = + Add a piece
page-drawing-name = { $mark } seen face up, { $along } by { $across }
page-center-note = The cross marks the center of gravity. Dashed lines lie behind. Viewed face up.
page-to-lift = To lift and carry, at most
page-turn = Turn in 3D
page-solid-keys = { $mark } in 3D. Drag it to turn it, pinch it to size it. Keys: arrows turn it, + and − size it, Home starts over.
page-solid-none = This piece can't be drawn in 3D here.
page-flip = To flip, form included
page-installed = Installed, dry. Not for lifting.
page-and-machine = { $crew } and a machine
page-from-drawing = From { $file }.
page-seen = See what was read
page-drawing-settings = Drawing settings
page-send-quote = Send the quote
page-add-layer = + Layer
page-add-cutout = + Cutout
page-add-drop = + Drop edge
page-add-profile = + Edge profile
page-add-waterfall = + Waterfall
page-add-splash = + Backsplash
page-add-seam = + Seam
page-add-insert = + Insert
page-all-of-piece = All entries of { $mark }
page-price = Price
page-price-of = { $count ->
    [one] 1 piece, before tax
   *[other] { $count } pieces, before tax
  }
page-as-typed = Entries of this piece
page-part-of = { $mark } is a part of { $whole }. These are the entries of { $whole }.
page-all-keys = All entries of the job
page-holes = { $file } is not closed: { $count ->
    [one] 1 open edge
   *[other] { $count } open edges
}
page-fill-holes = Fill the flat holes. Its weight is then that of a closed body.
page-choice = { $choice ->
    [true] Yes
    [false] No
    [absolute-volume] By absolute volume
    [admixture] Admixture
    [all] All faces
    [all-units] All packages
    [area] By area
    [back] Back
    [ballpark] Ballpark
    [basin] Basin
    [bevel] Bevel
    [both] { $key ->
        [ways] Both ways
       *[other] Both
    }
    [bottom] Bottom
    [box] Box
    [brush] Brushed
    [bullnose] Bullnose
    [cast] Each cast
    [cement] Cement
    [circle] Circle
    [color-critical] Color is critical
    [colour-critical] Color is critical
    [comma] Comma, as in 1,5
    [compound] Several shapes in one
    [consumable] Consumable
    [counted-dry] Counted dry mass
    [counter] Counter
    [cove] Cove
    [crane] Crane
    [cut] Cut at the seams
    [de] German
    [down] Face down
    [eased] Eased
    [edge] On edge
    [edge-length] By edge length
    [ellipse] Ellipse
    [en-GB] British English
    [en-US] American English
    [es] Spanish
    [even] Even
    [extrusion] Molding
    [fault] Refuse the drawing
    [fiber] Fiber
    [fibre] Fiber
    [fill] Fill small holes
    [finished] Finished
    [finished-area] By finished area
    [fire] Fire feature
    [flat] Flat
    [fluid] Fluid
    [form] { $key ->
        [each] Each form built
       *[other] Faces against the form
    }
    [form-area] By form area
    [front] Front
    [glass-fiber] Glass-fiber mold
    [glass-fibre] Glass-fiber mold
    [hand] By hand
    [hold-point] By hand, at a signed hold point
    [horizontal] From horizontal
    [imperial] US units (in, lb)
    [incremental] Only packages above it
    [inserts] Lifting inserts
    [large] Large
    [leave-out] Leave them out
    [left] Left
    [light-aggregate] Lightweight aggregate
    [loose-volume] By loose volume
    [lump] Lump sum
    [machine] Forklift, excavator or telehandler
    [mass] By mass
    [melamine] Melamine board
    [mesh] 3D model
    [metric] Metric (mm, kg)
    [nearest] To the nearest step
    [none] None
    [number] Number them
    [order] Numbered in order
    [other] Other
    [outline] Outline
    [packs] Whole packages bought
    [panel] { $key ->
        [use] Wall panel
       *[other] Panel
    }
    [piece] By the piece
    [pieces] By the piece
    [pigment] Pigment
    [plain] Plain
    [planter] Planter
    [plastic] Plastic
    [point] Point, as in 1.5
    [polymer] Polymer
    [pour] Poured
    [pozzolan] Pozzolan
    [quoted] Quoted
    [raw] Raw
    [rectangle] Rectangle
    [released] Released
    [revolution] Turned shape
    [right] Right
    [rough] Rough
    [round-over] Round-over
    [rubber] Rubber mold
    [sand] Sand
    [shop] In the shop
    [site] On site
    [slab] Slab
    [slings] Slings
    [splash] Backsplash
    [spray] Sprayed
    [stiff] Stiff
    [suction] By hoist, against suction
    [templated] Templated
    [text] Text in the drawing
    [thin-railed] Thin rails
    [top] Top
    [total] Total mass, water and fiber included
    [up] { $key ->
        [rounding] Up to the next step
       *[other] Face up
    }
    [used] Amount used
    [vacuum] Vacuum lifter
    [vertical] From vertical
    [water] Water
    [whole] Whole, over the seams
    [x] Along the length
    [y] Up the height
   *[raw-word] { $choice }
}
page-undo = Undo
page-undo-what = { $what }{ $values ->
    [none] {""}
    [added] {" "}added
    [gone] {" "}taken out
   *[other] : { $values }
}{ $more ->
    [0] {""}
   *[other] , and { $more } more
}{ $person ->
    [none] {""}
   *[other] . Changed by { $person }.
}
page-this-job = This job
page-up-to-date = Up to date
page-was = was
page-working = Working…
page-offline = Offline. Changes are not saved.
page-sum = Price before tax
page-direct = Direct cost
page-all-weight = All pieces, installed
page-people = Most people
page-batches = Batches
page-days = Pour days
page-to-buy = To buy
page-open-items = Not safe yet
page-others = { $person ->
    [none] Somebody
   *[other] { $person }
} changed { $what } %n { $unit } ago.
page-conflict = Somebody else changed this entry.
page-conflict-by = { $person ->
    [none] Somebody
   *[other] { $person }
} changed this entry{ $time ->
    [none] .
   *[other] {" "}at { $time }.
} Which value counts?
page-changed-too = Somebody else changed “{ $label }” to { $theirs } meanwhile. You typed { $yours }.
    .fix = Save again to keep yours, or type theirs.
page-take-theirs = Take theirs: { $text }
page-keep-yours = Keep yours: { $text }
page-entry-name = Name
page-add = Add
page-add-one = + Add one
page-save = Save
page-example = e.g. { $text }
page-open = Open
page-start = Start
page-take-out = Take this out
page-move-up = Move up
page-move-down = Move down
page-copy-piece = Copy { $mark }
page-remove-piece = Take { $mark } out
page-all-papers = Download all papers
page-back = Back to the job
page-old-sheet = Revised. Get revision { $revision } before you lift.
page-old-label = Label out of date. Get a new label before you lift.
page-no-hands = DO NOT LIFT BY HAND
page-enter = Shop page
page-enter-button = Enter
page-code = Access code
page-code-note = The code stands where the page was started. It changes with each start.
page-wrong-code = This is not the code. After five wrong codes the wait grows.
page-gone = Nothing here
page-not-signed-in = You are signed out. Sign in, then enter it again.
page-not-your-role = This screen is not for your role. Ask the office.
page-job-problem = This job has a problem. Fix it first.
page-failed = The program failed here. Go back and check what was saved.
page-failed-detail = Internal error (start with CAST_ESTIMATOR_DEBUG=1 to see where). { $kind }: { $reason }
page-too-large = This is too large. Send at most { $most } MB at a time.
page-too-slow = This came too slowly and was dropped. Send it again.
page-wrong-name = The shop page is not reached by this name. Use the address where it was started.
page-other-site = Refused: this did not come from the shop page. Open the page anew, and enter it there.
page-no-such-field = The job file has no such entry. Reload the page.
page-nothing-to-undo = Nothing to undo. The file was changed elsewhere since.
    .fix = See Changes for the value before, and enter it again.
page-undo-other-now = Somebody else changed the job meanwhile.
    .fix = Read what Undo takes back now.
page-not-a-number = “{ $text }” is not a number.
    .fix = Enter digits only.
serve-no-folder = is not a folder.
    .fix = Enter a folder of job files.
serve-code = Access code: { $code }.{ $scheme ->
    [https] {""}
   *[http] {" "}Anyone on this network can read what is sent over plain http.
}
serve-port-taken = Port { $port } is in use.
    .fix = Enter another port, such as --port 8421.
serve-port-closed = This user may not open port { $port }.
    .fix = Enter a port from 1024 on, such as --port 8420.
serve-no-address = “{ $host }” is not an address of this computer.
    .fix = Enter 0.0.0.0 for every address that it has.

# The crew's phone

crew-code = Code on the label
crew-show = Show the piece
crew-scan = Or scan the label with the camera of this phone.
crew-touch = Or touch the piece
crew-more = { $count ->
    [one] 1 more piece. Enter its code.
   *[other] { $count } more pieces. Enter the code.
}
crew-no-piece = This job has no piece { $code }.
    .fix = Enter the mark on the label, such as { $mark }.
crew-label = Label
crew-carry = Carry
crew-flip = Flip
crew-flip-title = FLIP
crew-flip-name = The piece in its form between two boards, strapped, flipped onto foam
crew-in-form = PIECE IN FORM
crew-foam = FOAM
crew-max = MAX
crew-max-flip = MAX, form and board on
crew-no-flip = DO NOT FLIP BY HAND
crew-count = { $count ->
    [one] 1 piece
   *[other] { $count } pieces
}
crew-each = { $people ->
    [0] {""}
    [one] Up to { $high_kg }.
   *[other] Up to { $high_kg } each. One person calls the lift.
}
crew-offline = Offline. Sheet of { $day }, { $time }{ $revision ->
    [none] .
   *[other] , revision { $revision }.
}

# The mixer's phone

page-mixer = Mixer
mixer-needs-script = This screen needs JavaScript.
mixer-part = batch { $number } of { $total }
mixer-batches = Batches
mixer-of = { $count } of { $total }
mixer-start = Start weighing
mixer-continue = Continue weighing
mixer-weighing = Weighing
mixer-mixing = Mixing
mixer-done = done
mixer-all-done = All batches of this pour are done.
mixer-offline = Offline. Keep this page open. Entries waiting on this phone:
mixer-refused = Entries that the shop could not read. Tell the office. Count:
mixer-changed = The job changed. Reload before the next batch.
mixer-other = Begun with other amounts. Undo each, then weigh again.
mixer-begun = Begun before the job changed, with these amounts. Finish it with them, or throw it away.
mixer-gone = No longer in the plan
mixer-gone-why = These were weighed before the job changed. They stay in the records. Tell the office.
mixer-other-size = Mixed for { $was }. The plan now asks for { $now }. Tell the office.
mixer-no-job = The shop has this job no longer: it was moved or archived. What you tick stays on this phone. Tell the office.
mixer-turned-away = The shop's computer takes no entries ({ $number }). What you tick stays on this phone. Tell the office.
mixer-throw = Throw batch away
mixer-sign-in = Sign in again. Your entries stay on this phone.
mixer-for = For { $pieces }
mixer-material = Material { $count } of { $total }
mixer-weighed-on = On { $name }, to { $step }
mixer-lot = Lot on the sack
mixer-new-lot = Lot on the new sack
mixer-so-far = On the scale so far: { $amount }
mixer-next = Next:
mixer-weighed = ✓ Weighed
mixer-measured = ✓ Measured
mixer-level = Level the bucket. Do not shake it down.
mixer-or = or { $amount }
mixer-less = Less by
mixer-more = More by
mixer-no-room = This phone has no room to keep what you tick. Free some space, or use another phone.
mixer-number = Enter a weight, in digits.
mixer-whole = { $amount } is on the scale already. Enter the whole weight.
mixer-sack = Sack ran out
mixer-on-scale = { $name } on the scale
mixer-on-scale-now = Enter what is on the scale now, less than { $amount }.
mixer-shrinks = The batch shrinks to { $share }.
mixer-pour-back = Pour back first
mixer-still = Still to weigh
mixer-was = Was
mixer-now = Now
mixer-short = { $pieces } will be short { $amount }. Mix the rest in a bucket with a drill.
mixer-rescale = Rescale to
mixer-another-sack = I have another sack
mixer-too-late = Part of the batch is in the mixer. Open another sack.
mixer-since-water = Since first water
mixer-left = { $minutes } min left. Place by { $time }.
mixer-over = Past the limit of { $time }. Do not place this batch.
mixer-late = Placing takes { $minutes } min and { $left } min are left. Get another person.
mixer-is-in = ✓ In the mixer
mixer-used = Water used
mixer-water-used = Water used, of { $amount } held back
mixer-density = Density check
mixer-fill = Fill a { $measure } bucket. Strike it level. Weigh it with the bucket.
mixer-in-range = In range
mixer-too-heavy = Too heavy
mixer-too-light = Too light
mixer-keep = Keep this weight
mixer-back = Back to the batch
mixer-undo = Undo: { $name }

# Density checks, for the office

density-title = Density checks
density-lead = A bucket weighed at the mixer shows what the mix really weighs. Correct one number and the job follows.
density-none = No density check yet. The mixer screen asks for one after a batch.
density-batch = batch { $batch }
density-correct = Correct the mix by this
density-corrected = Corrected so far

# People

people-title = People
people-lead = Once somebody is on this list, everybody signs in.
people-none = Nobody yet. Whoever can reach this page sees everything.
people-name = Name
people-role = Role
people-role-office = Office: everything
people-role-shop = Shop: jobs, mixes and papers, no client links
people-role-crew = Crew: phone screens, no prices
people-role-of = Role of { $name }
people-role-short = { $role ->
    [office] Office
    [shop] Shop
    [crew] Crew
   *[none] –
  }
people-change-role = Change role
people-secret = Password
people-secret-note = At least 8 characters. Leave it empty for an access code.
people-add = Add
people-remove = Remove
people-code = Access code of { $name }: { $code }
people-code-note = Write it down now. It is not shown again.
people-sign-out = Sign out
people-renew = New code
password-title = Change password
password-now = Current password or access code
password-new = New password
password-note = At least 8 characters. Other browsers are signed out.
password-changed = Changed. Other browsers are signed out.
sign-in = Sign in
sign-in-name = Name
sign-in-secret = Password or access code
sign-in-wrong = Name or password is wrong.
sign-in-wait = Too many wrong tries. Wait a minute.
page-phone = Phone
page-on-phone = Open this page on a phone
page-qr = QR code of { $address }
page-paper = { $paper ->
    [batch-sheets] Batch sheets
    [estimate] Estimate
    [form-sheet] Form sheet
    [forms] Form drawings, full size
    [install-sheet] Install sheet
    [labels] Labels
    [lift-sheet] Lift sheet
    [material-list] Material list
    [materials] Materials
    [order] Order
    [pieces] Pieces
    [pour-days] Pour days
    [purchase-orders] Purchase orders, one per supplier
    [quote] { $status ->
        [released] Order confirmation
       *[open] Quote
      }
    [shelf] Stock left after this job
    [summary] Summary
    [truck-sheet] Truck sheet
   *[workings] Workings
  }
page-labels-for = Labels, by the network of the phones
page-labels-at = Labels for phones that reach { $address }
page-labels-here = Labels carry no code, since phones can't reach this page. Start it with --host 0.0.0.0.
page-phone-none = No jobs yet.

# The client's quote

page-client = Client
client-lead = The client opens the link, enters the code, and can accept. Send link and code in two ways, such as email and phone.
page-held = The client accepted this price. By today's costs and terms it would be { $now_price }.
release-title = Release the job
release-start = First working day
release-note = A released job has dates and keeps the accepted price. Later changes are change orders.
release-moves = The client accepted { $accepted }. Released, the job comes to { $now }.
release-moves-why = The job was changed after the client accepted it. The order confirmation prints the second price.
revise-title = Change orders
revise-none = No change order yet. Change a size of the job to start one.
revise-add = Released: what you change on the pieces becomes a change order.
revise-direct = Released: what you enter here moves your costs, your order and your plan. The client pays the accepted price.
revise-ask = This job is released. This needs a change order:
revise-number = Change order
revise-into = Change order { $number }
revise-reason = Reason, as the client reads it
revise-start = Write the change order
revise-back = Leave the job as it is
revise-adds = Add piece { $mark }
revise-removes = Leave out piece { $mark }
revise-total = New order total
revise-signed = Signed { $day }
revise-unsigned = Not signed yet. The job stays as it is until the client signs.
revise-sign-day = Signed by the client on
revise-sign = Put it into the job
revise-paper = Change order to sign, PDF
revise-edit = Entries
revise-no-reason = The change order has no reason.
    .fix = Enter one of up to 120 letters, such as: wider bar.
revise-no-day = The day of the signature is missing.
    .fix = Enter the day on which the client signed.
revise-no-removal = An entry of the job can't be cleared here.
    .fix = Enter the value that counts from now on.
revise-not-this = A change order can't hold this.
    .fix = Change the piece at the desk, piece by piece.
revise-no-files = This job is released, so its drawings stay as they are.
    .fix = Add the piece by its sizes. It becomes a change order.
release-not-accepted = No quote of this job is accepted yet.
    .fix = Send the quote first.
release-alternate = The client chose the alternate “{ $name }”, which is not in the job yet.
    .fix = Enter its changes in the job, then send a new quote.
client-no-client = The quote names no client.
client-enter-client = Enter the client
client-no-business = The quote does not name your shop.
client-enter-business = Enter your shop
client-here-alone = The link opens on this computer only. To send it, stop the page and start it again with --host 0.0.0.0.
client-link = Link
client-links = Links, one for each network of this computer. Send the one that the client can reach.
client-code = Access code
client-once = Copy both now. They are not shown again.
client-make = Make a link to this quote
client-replaces = A new link withdraws open links to earlier quotes of this job.
client-offers = The client can accept { $total }, options aside.
client-moved = The job now comes to { $now }. The client can still accept { $total }. Make a new link to replace it.
client-sent-on = Quote of { $day }
client-revision = Revision { $revision }
client-until = Valid until { $day }
client-fingerprint = Fingerprint { $text }
client-no-date = The quote has no date yet. Making a link dates it today.
client-state-open = Sent
client-state-accepted = Accepted
client-state-withdrawn = Withdrawn
client-state-expired = Expired
client-withdraw = Withdraw
client-accepted-by = Accepted by { $name } for { $total }
client-accepted-with = With: { $option }
client-over = { $state ->
    [withdrawn] The shop has withdrawn this quote.
   *[expired] This quote was valid until { $until_date }.
} Ask the shop for a new one.
client-title = Your quote
client-enter-code = Access code
client-open = Open the quote
client-wrong = This code is wrong.
client-wait = Too many wrong codes. Wait and try again.
client-pdf = Download as PDF
client-weight = max. { $weight } each
client-options = Options, before tax. Ticked, they are in the total.
client-instead = Replaces the price above.
client-payment-note = For the total without options. Shares stay the same.
client-accept = Accept this quote
client-name = Your name
client-sign = Sign here with finger or mouse
client-signature = Signature
client-clear = Clear
client-typed = My typed name is my signature.
client-accept-button = Accept and send
client-thanks = Accepted. Thank you.
client-no-quote = This is not a complete quote.
    .fix = Set the status to quoted, and price every material.
client-expired = The quote was valid until { $until_date }.
    .fix = Set a new date of the quote first.
client-not-open = The quote can't be accepted any more.
    .fix = Call the shop.
client-no-name = Your name is missing.
    .fix = Enter your full name.
client-no-signature = The signature is missing.
    .fix = Sign in the box, or tick that your typed name is your signature.
client-not-agreed = The box above the button is empty.
    .fix = Tick it to accept.

serve-no-tls = The package that makes certificates is missing.
    .fix = Install it: pip install "cast-estimator[tls]".
serve-authority = Install { $file } on each phone once, as a trusted certificate.

page-changes = Changes
page-no-changes = No changes on this page yet.
page-change = { $was } → { $becomes }

prices-title = Prices
prices-note = What this job buys. Type over a price; it counts for this job.
prices-shop = Packages of the shop. A price typed over counts in every job that uses the shop file, unless the job has its own.
prices-material = Material
prices-pack = Package
prices-supplier = Supplier
prices-price = Price ({ $currency })
prices-terms = Overhead, margin and tax
prices-new-supplier = Add a supplier
prices-from = { $name }, from { $count } on
prices-pallet = { $name }, full pallet of them

files-title = Files
files-lead = Drawings, models and lists that this job uses. A newer file takes the place of an older one only after you have seen what changes.
files-none = This job uses no files.
files-of = For { $marks }
files-newer = Newer file for { $name }
files-bring = Bring in a newer file
newer-title = A newer { $name }
newer-show = Show what changes
newer-size = Size
newer-area = Area
newer-no-rows = No size, area or weight changes.
newer-kept = { $name } stays beside the job. Undo brings it back.
newer-save = Use the newer file
newer-which = Which size is your largest piece in { $file }?
newer-other-unit = The newer file is { $own }. The job reads the older one as { $given }.
newer-names-none = The newer file names no unit. The older one did.
newer-grown = The newer file is about as much larger or smaller as another unit would make it. The job reads both as { $given }.
newer-gone = { $name } does not have { $marks }.
newer-leave = Take { $marks } out of the job
newer-same = The job has this { $name } already.
    .fix = Choose the revised file.
newer-no-unit = The unit is missing.
    .fix = Choose one.
newer-unreadable = { $name } can't be used. { $reason }
newer-plain-numbers = Its unit, { $unit }, also counts for plain numbers of a piece.
    .fix = Write these numbers with their unit first.

shop-title = Shop
shop-heading = Settings, prices and mixes of the shop
shop-lead = What all jobs share stands in one file. What a job enters itself counts before it.
shop-start = Start the shop file
shop-head = What all jobs of this shop share: settings, prices, mixes.
shop-entries = Entries of the shop
shop-used = Jobs that use { $file }
shop-unused = No job uses it yet.
shop-others = Jobs that do not use it
shop-use = Use it in this job
shop-held = Released. It keeps the price and the mixes that the client accepted.
shop-changes = { $count ->
    [0] No open job uses this file yet.
    [one] An entry here changes this job: { $names }.
   *[other] An entry here changes these { $count } jobs: { $names }.
  }
shop-keeps = { $count ->
    [one] This released job keeps its accepted price and its mixes: { $names }.
   *[other] These { $count } released jobs keep their accepted prices and their mixes: { $names }.
  }

coupons-title = Strength tests of { $mix }
coupons-lead = Six coupons of one pour, half of them tested with the form face up.
coupons-replace = The coupons take the place of the strength that was typed.
coupons-held = The coupons of this mix stand in { $file }.
coupons-rows = { $count ->
    [one] The job lists 1 coupon of this mix.
   *[other] The job lists { $count } coupons of this mix.
  }
coupons-file = File of the test lab or of your own: CSV, XLSX, ODS or XLS
coupons-columns = One coupon in a row. Columns: pour, age, face, span, width, depth, limit, peak.
coupons-beside = Or choose a file that lies beside the job
coupons-use-file = Use this file
coupons-type = Type the results
coupons-number = Coupon
coupons-of-each = { $key ->
    [face] Form face in the test
    [limit] Load at first crack
   *[peak] Highest load
  }
coupons-face = { $face ->
    [up] up
   *[down] down
  }
coupons-no-file = The file is not beside the job.
    .fix = Choose one of the list.
coupons-no-rows = No coupon has a load.
    .fix = Enter the highest load of each coupon that was tested.
coupons-missing = Coupon { $number } has no entry for “{ $label }”.
    .fix = Enter it.
