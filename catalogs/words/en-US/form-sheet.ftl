# Form sheet, the layout of its boards on sheets, and the full-size drawing of each form.

form-paper = Form sheet
form-reader = Form sheet for the form builder
form-mirrored = MIRROR IMAGE – cast face down
form-as-seen = AS SEEN FROM ABOVE – not mirrored
form-right-end = ◂ right end of the piece
form-left-end = left end of the piece ▸
form-finished = Finished piece, face up
form-section = Section A–A, { $scale }

# Facts over the drawing.
form-to-build = Forms to build
form-casts = { $casts ->
    [one] { $forms } (1 cast)
   *[other] { $forms } ({ $casts } casts)
}
form-at-once = In use at one time
form-material = Form material
form-of-melamine = melamine board
form-of-rubber = rubber
form-of-glass-fibre = fiberglass
form-diagonals = Both diagonals
form-no-rectangle = not a rectangle

# Title block (ISO 7200).
form-owner = Owner
form-title = Title
form-of = Form { $mark }
form-kind = Document
form-number = Drawing no.
form-revision = Revision
form-scale = Scale
form-unit = Dimensions in
form-unit-metric = millimeters
form-unit-imperial = inches
form-tolerance = Tolerance
form-thickness-within = Thickness ± { $tolerance }
form-date = Date of issue
form-approved = Approved

# Lists. Places are from the marked corner of the form.
form-cutouts = Knockouts, as built
form-cutout = Knockout
form-size = Size
form-from-left = From left
form-from-front = From front
form-up = Up
form-round = Round
form-shaped = Shaped (outer size)
form-rounded = Corner radius { $radius_m }
form-sharp = Sharp corners
form-corners = Corners, as built
form-corner = Corner
form-radius-on = Radius to next
form-section-corners = Corners of the section
form-parts = Parts, as built
form-part = Part
form-part-added = part { $number }
form-part-out = taken out { $number }
form-part-note = Part { $number }: { $note }
form-boards = Boards for one form
form-board-of = Board of { $mark }

# Boards by name; `side` is front, back, left, right, top or bottom.
board-of = { $mark } { $board }
board-part = { $board }, 1 of { $parts }
board-bottom = form bottom
board-end = { $side } end
board-edge = edge { $number }
board-edge-upper = upper edge { $number }
board-side-edge = { $side } edge
board-side = side { $number }
board-run = { $run ->
    [long] long side
   *[short] short side
}
board-core-run = { $run ->
    [long] core long side
   *[short] core short side
}
board-core-top = core top
board-core-side = core side
board-cover = cover
board-drop-end = { $side } end of a drop
board-drop-inside = { $side } drop, inside
board-edge-drop = drop at edge { $number }, inside
board-edge-drop-face = drop face at edge { $number }
board-edge-drop-former = drop at edge { $number }, inside { $former }
board-return-end = { $side } end of a return or rib
board-return-inside = { $side } return, inside
board-bay = { $way ->
    [across] bay, across
   *[along] bay, along
}
board-plug = hollow, plug
board-block = hollow, block
board-knockout = knockout { $number } { $part }
board-knockout-plug = plug
board-knockout-block = block
board-knockout-side = side
board-former = { $drawn ->
    [yes] former to the drawing
   *[no] former
}
board-edge-former = edge { $number }, { $former }
board-inside-former = inside { $former }
board-strip = { $edge }, { $kind ->
    [cove] cove
    [bevel] bevel
    [eased] eased-edge
    [bullnose] bullnose
    [mitre] 45° miter
   *[round-over] round-over
} strip

form-with-radius = , radius { $radius_m }
form-count = Count
form-length = Length
form-width = Width
form-no-boards = No cut list. Make the mold from the full-size drawing and section.
form-more = { $count ->
    [one] 1 more is on the full-size drawing.
   *[other] { $count } more are on the full-size drawing.
}

# What the drawings do not show. Sides are those of the form as built.
form-notes = Notes
form-inserts = Inserts
form-insert = Insert
form-not-stated = not stated
form-finish = Finish: { $text }
form-color = Color: { $text }
form-note = Note: { $text }
form-full-size = Full-size drawing, as built: { $file }. Measure its check bar before you cut.
form-origin = Measure from the marked corner: to the center of a round knockout, to the lower left of any other.
side-front = front
side-back = back
side-left = left
side-right = right
side-bottom = bottom
side-top = top
edges-by-number = { $count ->
    [one] edge { $numbers }
   *[other] edges { $numbers }
}
edge-part-of = part of { $edge }
edge-near = one edge
form-thickness = { $drawn ->
    [yes] { "" }
   *[no] Thickness { $thickness_m }.
}
form-skin = { $drawn ->
    [yes] { "" }
   *[no] Skin { $thickness_m }.
}
form-drop = { $drawn ->
    [yes] Drop edge: { $sides }.
   *[no] Drop edge: { $sides }. Height { $height_m } from the top, thickness { $thickness_m }.
}
form-edge-cove = { $drawn ->
    [yes] Cove on the top edge: { $sides }.
   *[no] Cove on the top edge: { $sides }. Radius { $size_m }.
}
form-edge-bevel = { $drawn ->
    [yes] Bevel on the top edge: { $sides }.
   *[no] Bevel on the top edge: { $sides }. Each leg { $size_m }.
}
form-edge-round-over = { $drawn ->
    [yes] Round-over on the top edge: { $sides }.
   *[no] Round-over on the top edge: { $sides }. Radius { $size_m }.
}
form-edge-eased = { $drawn ->
    [yes] Eased top edge: { $sides }.
   *[no] Eased top edge: { $sides }. Radius { $size_m }.
}
form-edge-bullnose = Bullnose: { $sides }. Radius { $size_m }, top and bottom.
form-edge-mitre = 45° miter: { $sides }. Undercut from the top face inward.
form-taper = Thickness { $full_m }, tapering to { $thickness_m } at the { $side }.
form-return = { $drawn ->
    [yes] Return: { $sides }.
   *[no] Return: { $sides }. Depth { $depth_m } from the face, thickness { $thickness_m }.
}
form-ribs = { $drawn ->
    [yes] Ribs behind the skin.
   *[no] Ribs behind the skin. Width { $width_m }, depth { $depth_m } from the face.
}
form-ribs-x = { $count ->
    [one] 1 rib along the length. Center line from the front: { $places_m }.
   *[other] { $count } ribs along the length. Center lines from the front: { $places_m }.
}
form-ribs-y = { $count ->
    [one] 1 rib up the height. Center line from the left: { $places_m }.
   *[other] { $count } ribs up the height. Center lines from the left: { $places_m }.
}
form-opening-return = { $drawn ->
    [yes] Return round knockout { $number }.
   *[no] Return round knockout { $number }. Depth { $depth_m } from the face, thickness { $thickness_m }.
}
form-walls = { $drawn ->
    [yes] { "" }
   *[no] Wall { $wall_m }, base { $base_m }.
}
form-fillet = Inside edges and corners: radius { $radius_m }.
form-foot = Outer size at the bottom: { $length_m } × { $width_m }.
form-lid = Closed at the top.
form-shell = { $drawn ->
    [yes] { "" }
   *[no] Wall { $wall_m }.
}
form-mitre-back = Miter at the { $side } end: { $degrees }° off square in plan, cut upright. The back is short.
form-mitre-front = Miter at the { $side } end: { $degrees }° off square in plan, cut upright. The front is short.

# How the boards lie on the sheets.
form-layout = Cutting layout
form-layout-sheets = { $count ->
    [one] 1 sheet { $length_m } × { $width_m }.
   *[other] { $count } sheets { $length_m } × { $width_m }.
}
form-layout-trim = Trim { $trim_m } off every edge first.
form-layout-kerf = Saw kerf { $kerf_m }. Every cut runs from edge to edge.
form-layout-small = Not labeled, by size: { $boards }.
boards-not-laid = { $count } form boards are too many to lay out here. They need at least { $sheets ->
    [one] 1 sheet
   *[other] { $sheets } sheets
}. Lay them out at the saw before you order.
form-layout-sheet = { $count ->
    [one] Sheet { $number }
   *[other] Sheet { $number }, cut { $count } alike
}

form-drawing-check-bar = CHECK BAR { $length_m }
form-seam = Seam edges (broken lines) meet the next part of { $whole }. Keep them straight, square and sharp.
