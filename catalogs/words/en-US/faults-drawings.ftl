# Faults of drawings and of files.

file-empty = The file is empty.
    .fix = Export it again.
file-not-text = The file is not text.
    .fix = Save it as UTF-8.
file-unpacks-too-large = The file unpacks to { $found } MB. At most { $most } MB are read.
    .fix = Export it coarser, or raise the limit with { $option }.
file-unpacks-to-many-times = The file unpacks to { $found } times its size. At most { $most } times are read.
    .fix = Export it again. If you trust the file, raise the limit with { $option }.
file-too-large = The file has { $found } MB. At most { $most } MB are read.
    .fix = Save it with fewer points or facets, or raise the limit with { $option }.
file-not-opened = The file cannot be opened: { $reason }.
file-part-twice = The file holds "{ $name }" twice.
    .fix = Export it again.
file-damaged = The file cannot be read as { $kind } ({ $reason }).
    .fix = Export it again.
file-too-deep = The { $kind } file is nested too deeply to be read.
    .fix = Export it with fewer groups in groups.
file-too-much = The { $kind } file needs more memory than there is.
    .fix = Export it with fewer points or facets.
file-unfolds = The { $kind } file unfolds to { $found } parts. At most { $most } are read.
    .fix = Remove blocks and copies that are not part of the piece, or raise the limit with { $option }.
file-nested = The { $kind } file is nested more than { $most } levels deep.
    .fix = Export it with fewer groups in groups, or raise the limit with { $option }.
# A file that ended the process that read it.
apart-crash = The file stops the { $kind } reader, so it cannot be read safely.
    .fix = Export it again, or in another format.
apart-memory = Reading the file takes more than { $taken } MB of memory.
    .fix = Export it with fewer points or facets, or raise the limit with { $option }.
apart-time = Reading the file takes more than { $taken } s.
    .fix = Export it with fewer points or facets, or raise the limit with { $option }.
apart-answer = The file holds more than { $most } MB of points.
    .fix = Export it with fewer points or facets, or raise the limit with { $option }.
apart-not-started = No process could be started to read the file ({ $reason }).
    .fix = Close other programs, and try again.
coordinate-too-far = A coordinate is { $found }. At most { $most } units from the origin can be measured.
    .fix = Move the drawing to its origin, or check its unit.
outline-lines-cross = No outline is closed. Lines cross at { $at } instead of meeting at their ends.
    .fix = Trim them to their corners.
outline-three-ends = Three line ends lie within the gap of { $gap } near { $end }.
    .fix = Make the lines meet there, or give a smaller gap.
drawing-format = "{ $name }" is not in a drawing format that can be read.
    .fix = Save it as { $formats }.
drawing-no-unit = The file has no unit. Its size is { $x } × { $y }: { $sizes }.
    .fix = Give the unit: "mm", "cm", "in" or "m".
dxf-block-recursive = Block "{ $name }" contains itself.
    .fix = Fix it in the drawing program.
dxf-unreadable = { $kind } on layer "{ $layer }" cannot be read ({ $error }).
    .fix = Draw it again, or choose the layer of the outlines.
dxf-not-flat = { $kind } on layer "{ $layer }" near ({ $x }, { $y }) does not lie flat in the plane of the drawing.
    .fix = Flatten it, or choose the layer of the outlines.
svg-not = The file is not SVG: { $error }.
svg-root = The file is not SVG: its root is <{ $tag }>.
svg-symbol = A symbol with a viewBox of its own, or a drawing within the drawing at another size, can't be read.
    .fix = Expand it in place.
svg-use-recursive = The SVG file uses "{ $name }" inside itself.
    .fix = Expand it in place.
svg-use-missing = The SVG file uses "{ $name }", which it does not hold.
    .fix = Expand it in place.
svg-style = The style rule "{ $rule }" hides, shows or fills shapes, and is not plain enough to be followed.
    .fix = Delete what is hidden, or set display and fill-rule on the shapes themselves.
svg-style-shape = The style rule "{ $rule }" moves or sizes shapes.
    .fix = Set { $property } on the shapes themselves.
svg-length = The { $key } of a { $tag } is "{ $text }".
    .fix = Give it from 0 up, as a bare number or in mm, cm, in or px.
svg-path = The path data "{ $text }" can't be read.
    .fix = Export the drawing again.
svg-transform = The transform "{ $text }" can't be read.
    .fix = Export the drawing again, or ungroup its shapes.
svg-shape = A shape can't be read ({ $error }).
svg-stretched = The page is stretched more one way than the other.
    .fix = Give it its true proportions.
svg-viewbox = The viewBox "{ $text }" is not four numbers.
svg-viewbox-scale = The viewBox "{ $text }" makes one unit { $unit } m.
    .fix = Check the width, height and viewBox of the page.
svg-viewbox-empty = The viewBox "{ $text }" has no size.
geojson-not = The file is not GeoJSON. Line { $line }: { $reason }.
geometry-unreadable = A geometry can't be read: { $error }.
geojson-type = The file is not GeoJSON: { $kind } is not one of its types.
    .fix = Save it as a FeatureCollection.
coordinates-degrees = The coordinates are longitude and latitude, in degrees.
    .fix = Export them in a flat system in meters.
wkt-not = The file is not WKT: { $reason }.
wkt-line = Line { $number } is not WKT: { $error }.
wkt-kind = { $kind } can't be read.
    .fix = Save curves as straight lines.
csv-no-number = Line { $line }: "{ $text }" is not a number.
    .fix = Give bare numbers in one unit.

# Rings of an outline, named in the faults below.
ring-outline = The outline
ring-hole = Hole { $number }
ring-whole = The outline with its holes
hole-outside = Hole { $number } { $where ->
    [crosses] crosses
   *[outside] lies outside
} the outline near ({ $x_m }, { $y_m }).
    .fix = Move the hole inside, or draw the outline around it.
outline-no-area = { $ring } near ({ $x_m }, { $y_m }) encloses no area.
    .fix = Draw it with its full width.
outline-invalid = { $ring } { $fault ->
    [crosses] crosses itself
    [touches] touches itself
    [parts] falls apart
    [holes-overlap] has holes that overlap
    [hole-outside] has a hole outside it
   *[other] is not valid ({ $fault })
} at ({ $x_m }, { $y_m }).
    .fix = { $fault ->
        [crosses] Redraw it so that its edges meet only at their ends.
        [touches] Part it there, or leave a gap.
        [holes-overlap] Unite the holes.
       *[other] Redraw it.
    }
polygons-overlap = Two polygons of one MultiPolygon overlap at ({ $x }, { $y }), so the inner one is no hole.
    .fix = Unite them, or draw the hole within its polygon.
polygon-holes = A polygon { $fault ->
    [hole-outside] has a hole outside it
   *[other] has holes that overlap
} at ({ $x }, { $y }).
    .fix = Mend it, or draw the hole as its own polygon.
outline-open = An outline does not close. From { $start } to { $end } is a gap of { $gap }{ $more ->
    [0] { "" }
    [one] { " " }(1 more gap like it)
   *[other] { " " }({ $more } more gaps like it)
}.
    .fix = Join the ends, set `gap` to at least { $enough }, or choose the layer of the outlines.
layer-empty = Nothing lies on a layer "{ $layer }".
    .fix = { $count ->
        [0] The file names no layers.
       *[other] The layers are { $layers }.
    }
csv-heading = { $wrong }.
    .fix = Columns are { $columns }.
csv-column-unknown = Column "{ $column }" is not known
csv-column-twice = There is more than one column "{ $column }"
csv-units-differ = The columns of places have different units ({ $units })
paper-unit = A drawing on paper has no unit.
    .fix = Give its scale, such as scale = "1:20".
paper-none = A { $suffix } file is not a drawing on paper, so it has no scale and no pages.
    .fix = Give its unit instead.
pdf-no-scale = The page has no scale. Its outlines are { $x } × { $y } mm on paper.{ $count ->
    [0] {""}
   *[other] {" "}It says "{ $notes }".
}
    .fix = Write the scale, such as scale = "1:20", or two points and their true distance as `reference`.
pdf-pages = The PDF has { $pages } pages.
    .fix = Choose one with `page`.
pdf-no-page = There is no page { $page }. The PDF has { $pages ->
    [one] 1 page
   *[other] { $pages } pages
}.
    .fix = Choose one with `page`.
pdf-unit = The page is drawn in units of { $unit } points, which is not read.
    .fix = Print it to PDF again.
scale-unreadable = "{ $value }" is not a scale.
    .fix = Write a ratio such as "1:20", or lengths such as "1/4 in = 1 ft".
scale-differs = The scale is { $scale }, but the two points make it { $measured }.
    .fix = Measure the points again, or give the scale at which the page was really printed.
reference-one-point = The two points are the same.
    .fix = Give two points that are far apart.
points-three-columns = The table has three columns without names.
    .fix = Name them in its first line, such as x, y, z.
points-alone = The file holds { $count ->
    [one] 1 point
   *[other] { $count } points
} and no lines, and points alone have no order.
    .fix = Join the points in order by a polyline, or list them in order in a CSV table with columns x, y, z.
csv-no-xy = The heading names no columns x and y
csv-cells = Line { $line }: { $cells ->
    [one] 1 cell
   *[other] { $cells } cells
} for { $columns } columns.
    .fix = Give every row a cell for each column.
layers-lists = are { $lists } lists for { $shapes } shapes.
    .fix = Give one list, or a list for each shape.

argument-not-positive = { $name } is { $value }.
    .fix = It must be above 0.
drawing-gap-too-wide = A gap of { $gap_m } is too wide to close unseen.
    .fix = Give { $limit_m } or less.
drawing-not-flat = { $part } near { $place } { $how ->
    [leans] leans by { $tilt }°
   *[strays] strays from its plane by { $stray }
}. The drawing must be flat.
    .fix = Flatten it to within { $limit } and { $limit_tilt }°, or choose the layer of the outlines.
drawing-no-outline = The drawing holds no outline that encloses an area.
    .fix = { $count ->
        [0] Draw the outline as closed lines.
       *[other] { $found } Draw the outline as closed lines.
    }
dxf-number = A number cannot be read ({ $number }).
    .fix = Save it again from the drawing program.
dxf-code = The file is damaged: line { $line } is "{ $text }", not a group code.
    .fix = Save it again from the drawing program.
dxf-damaged = The file is damaged ({ $reason }).
    .fix = Save it again from the drawing program.
group-empty = Nothing lies in a group "{ $group }".
    .fix = { $count ->
        [0] The drawing has no groups.
       *[other] The groups are { $groups }.
    }
outlines-invalid = An outline { $fault ->
    [crosses] crosses itself
    [touches] touches itself
    [parts] falls apart
    [holes-overlap] has holes that overlap
    [hole-outside] has a hole outside it
   *[other] is not valid ({ $fault })
} at { $place }{ $more ->
    [0] { "" }
    [one] { " " }(1 more outline at fault)
   *[other] { " " }({ $more } more outlines at fault)
}.
    .fix = { $fault ->
        [crosses] Redraw it so that its edges meet only at their ends.
        [touches] Part it there, or leave a gap.
        [holes-overlap] Unite the holes.
       *[other] Redraw it.
    }
outlines-touch = One outline { $how ->
    [crosses] crosses
   *[along] runs along
} another at { $place }.
    .fix = { $how ->
        [crosses] Trim them, unite them into one outline, or leave out the layer of one of them.
       *[along] Move the inner one off the edge, or draw both as one outline.
    }
rectangle-sides = A rectangle needs a length and a width above 0.
    .fix = Enter both.
corner-radius-negative = A corner radius can't be negative.
    .fix = Enter 0 or more.
corner-radius-too-large = A corner radius of { $radius_m } does not fit a rectangle of { $length_m } × { $width_m }.
    .fix = Use half of the shorter side or less.
circle-diameter = A circle needs a diameter above 0.
    .fix = Enter its diameter.
ellipse-sides = An ellipse needs a length and a width above 0.
    .fix = Enter both.
scale-not-positive = A scale must be above 0.
    .fix = Enter a scale above 0.
arcs-stretched = Arcs cannot be stretched more one way than another.
    .fix = Scale both directions alike.
dxf-not-a-drawing = The file is not a DXF drawing, or is damaged beyond reading{ $reason }.
    .fix = Save it again from the drawing program.

# Many pieces in one drawing.
drawing-two-marks = A piece has two marks: { $marks }, at { $places }.
    .fix = Move one of them out of the piece, or name the layer of the marks: marks = ["LABELS"].
drawing-unmarked = { $count ->
    [one] 1 outline has no mark, at { $places }.
   *[other] { $count } outlines have no mark, at { $places }.
}
    .fix = Write a mark such as C1 inside each, ignore the layer, or set unmarked = "leave-out" or "number".
drawing-marks-nested = The outline marked { $mark }, at { $place }, encloses outlines with marks of their own: { $marks }.
    .fix = If it is the border of the sheet, ignore its layer. If they are holes, name their layer in `holes`.
drawing-mark-differs = Two pieces marked { $mark } differ by more than { $limit_m } or are mirrored, at { $places }.
    .fix = Give each its own mark.
drawing-left-out = { $count } { $reason ->
    [border] { $count ->
        [one] border line
       *[other] border lines
    }
    [title-block] { $count ->
        [one] title block
       *[other] title block outlines
    }
    [unmarked] { $count ->
        [one] outline without a mark
       *[other] outlines without a mark
    }
    [mark] { $count ->
        [one] mark outside any piece
       *[other] marks outside any piece
    }
    [other-layer] { $count ->
        [one] line on another layer
       *[other] lines on other layers
    }
    [hole-alone] { $count ->
        [one] hole outside any piece
       *[other] holes outside any piece
    }
    [bowl] { $count ->
        [one] outline inside a hole
       *[other] outlines inside holes
    }
    [balloon] { $count ->
        [one] circle around a mark
       *[other] circles around marks
    }
    [twice] { $count ->
        [one] duplicate
       *[other] duplicates
    }
    [open] { $count ->
        [one] open line
       *[other] open lines
    }
    [flat] { $count ->
        [one] line without size
       *[other] lines without size
    }
    [ignored] on ignored layers
    [off] on layers that are off
    [frozen] frozen
    [unplotted] not plotted
    [invisible] invisible
    [dimension] { $count ->
        [one] dimension
       *[other] dimensions
    }
    [hatch] { $count ->
        [one] hatch
       *[other] hatches
    }
    [paper] in paper space
    [text] { $count ->
        [one] text
       *[other] texts
    }
   *[other] { $count ->
        [one] other object
       *[other] other objects
    }
}
piece-also-drawn = This mark is in { $file } too.
    .fix = Add from = "{ $file }" to lay this entry over the drawn piece, or give it another mark.
drawing-not-named = No [[drawing]] names this file.
    .fix = { $nearest }
piece-not-drawn = { $file } has no piece { $mark }.
    .fix = { $nearest } Or delete this entry.
drawing-changed-released = A drawing changed after release.
    .fix = Add a [[change]] with its number and reason, or restore the drawing.
seen-unreadable = The file cannot be read.
    .fix = Delete it, or run: cast-estimator check JOB.toml --accept
drawing-read = { $count ->
    [one] 1 piece
   *[other] { $count } pieces
} of { $marks ->
    [one] 1 mark.
   *[other] { $marks } marks.
}
drawing-read-in-part = { $count ->
    [one] 1 piece
   *[other] { $count } pieces
} of { $marks ->
    [one] 1 mark.
   *[other] { $marks } marks.
} Left out: { $items }.
drawing-changed = { $file } has changed: { $changes }.
size-of = { $length_m } × { $width_m }
drawn-new = { $mark } is new
drawn-gone = { $mark } is gone
drawn-renamed = { $mark } is now { $new }
drawn-quantity = { $mark } is drawn { $count } times, not { $before }
drawn-changed = { $mark } was { $before } and is { $now }
edge-moved = Edge { $number } was { $before_m } long and is now { $now_m }.
    .fix = Check the numbers in the picture of the drawing. Then run: cast-estimator check JOB.toml --accept
drawing-two-lines = Two outlines run close around { $mark }, at { $place }. Either may be the piece.
    .fix = Delete one of them, or put it on a layer of its own and name that in ignore = ["LAYER"].
drawing-hole-or-line = An outline at { $place } runs close inside the edge of { $marked ->
        [yes] { $mark }
       *[no] a piece
    }. As a hole it would leave a thin frame.
    .fix = Put it on a layer of its own. Name that in ignore = ["LAYER"], or in holes = ["LAYER"] if it is a hole.
edge-layer-elsewhere = No line of this layer lies along { $mark }.
    .fix = Draw the lines on the edges of { $mark }, or name its edges by side or number.
drawn-edges-once = A layer of edges needs exactly one of `drop`, `profile`, `splash`, `waterfall` and `raw`.
    .fix = Write one of them, such as drop = {"{"} height = "3 in", thickness = "1-1/2 in" {"}"}.
