# Faults of files and folders: job files, catalogs, schedules, drawings and what is written.

file-missing = there is no such file.
    .fix = Check the path.
file-none = there is no file "{ $name }".
    .fix = Check the path. It starts at the file that names it.
file-name-impossible = "{ $name }" cannot be the name of a file.
    .fix = Use a path without NUL signs, each part of at most 255 signs.
file-not-plain = "{ $name }" is a folder, a pipe or a device.
    .fix = Name a plain file.
file-special = is a pipe or a device.
    .fix = Save it as a plain file, and name that.
file-link-leaves = "{ $name }" is a link to a file outside the job's folder.
    .fix = Copy the file into the folder, or write its own path.
file-leaves = "{ $name }" lies outside the folder.
    .fix = Put the file into the folder, and enter its name alone.
file-is-folder = is a folder.
    .fix = Name a file in it.
file-not-utf8 = is not UTF-8 text.
    .fix = Save the file as UTF-8.
# $reason is what the computer says.
file-not-read = could not be read ({ $reason }).
    .fix = Check the permissions.

# A job file that is not TOML.
toml-curly-quotes = has curly quotes.
    .fix = Use straight quotes, as in "like this".
toml-backslash = has a backslash in text.
    .fix = Write paths with /, or in single quotes.
toml-list-open = A list is not closed.
    .fix = Add the missing ].
toml-table-open = A table in braces is not closed.
    .fix = Add the missing {"}"}.
toml-text-open = A text is not closed.
    .fix = Add the missing quote at the end of the text.
toml-key-twice = This key is given twice.
    .fix = Delete one of them.
toml-section-twice = This section is given twice.
    .fix = Merge the two sections.
toml-section-open = A section head is not closed.
    .fix = Add the missing ].
toml-no-equals = A key has no equals sign.
    .fix = Write key = value.
toml-value = A value is missing or can't be read.
    .fix = Put text and quantities in quotes.
toml-after-value = Something follows a value.
    .fix = Put text and quantities in quotes, one key per line.
toml-other = This line is not valid TOML.
    .fix = Write key = value, with text in quotes.

key-spelled-twice = `{ $first }` and `{ $second }` are the same key.
    .fix = Keep one of them.
section-brackets = is not written as { $brackets }.
    .fix = Write { $brackets } on a line of its own.
limits-in-job = stands in a job file, which cannot raise its own limits.
    .fix = Move [limits] to your shop's catalog, or add --limit NAME=NUMBER to the command.
limit-form = { $value } is not a limit.
    .fix = Write a name and a whole number, such as rows=200000.
limit-range = { $value } is not a whole number from { $least } to { $most }.
    .fix = Write such a number.
section-not-table = is not a table.
    .fix = Write [{ $name }].

# Piece schedules and other tables.
table-no-rows = has no rows.
    .fix = Give a head row and one row per piece.
table-no-head = has no head row with `{ $column }`.
    .fix = Name the columns in one row, such as Mark, Qty, Length, Width, Thickness.
table-column-unknown = is not known.
    .fix = { $nearest }
table-column-unnamed = has no name, but row { $row } fills it.
    .fix = Name the column in the head row, or clear it.
table-column-twice = has more than one column "{ $column }".
    .fix = Give every column its own name.
table-sheet-of-csv = is not a workbook, so it has no sheet "{ $sheet }".
    .fix = Remove `sheet`, or name an XLSX, ODS or XLS file.
table-no-sheet = has no sheet "{ $sheet }".
    .fix = Its sheets are { $sheets }.
table-sheet-hidden = The first sheet, "{ $sheet }", is hidden.
    .fix = Show the sheet, or name the sheet to read. The workbook has { $sheets }.
table-not-csv = is not a CSV table.
    .fix = Save it again as CSV (UTF-8).
table-not-workbook = is not a workbook.
    .fix = Save it again as CSV (UTF-8), XLSX or ODS, without a password.
table-entities = defines entities of its own.
    .fix = Save it again as CSV (UTF-8), XLSX or ODS.
file-changed = The file was changed while it was read.
    .fix = Wait until it is saved, and try again.
table-overgrown = has more than { $most } cells or styles.
    .fix = Copy the table into a new workbook, or raise the limit with { $option }.
table-sheets-most = has { $found } sheets. At most { $most } are read.
    .fix = Copy the table into a new workbook, or raise the limit with { $option }.
table-row-twice = Row { $row } stands after row { $before }.
    .fix = Open the workbook, save it, and try again.
table-cell-twice = Cell { $cell } stands twice, or after a cell to the right of it.
    .fix = Open the workbook, save it, and try again.
table-place = "{ $place }" is not a row or a cell.
    .fix = Open the workbook, save it, and try again.
table-repeats = { $name } is "{ $value }". It must be a whole number from 1.
    .fix = Open the workbook, save it, and try again.
table-encoding-guess = The text is not in Unicode. It was read as Windows-1252: check the accents, or save it as UTF-8.
table-remark = "{ $value }" has a mark and nothing else.
    .fix = Fill in the row, or delete it. A table has no remark lines, and # does not make one.
table-rows-hash = { $count ->
    [one] 1 row that begins with # counts as a piece (row { $rows }).
   *[other] { $count } rows that begin with # count as pieces (rows { $rows }).
} Delete the rows that you do not want.
table-rows-hidden = { $count ->
    [one] 1 row that is hidden or filtered out counts too (row { $rows }).
   *[other] { $count } rows that are hidden or filtered out count too (rows { $rows }).
} Delete the rows that you do not want.
table-columns-hidden = { $count ->
    [one] 1 hidden column counts too ({ $columns }).
   *[other] { $count } hidden columns count too ({ $columns }).
} Delete the columns that you do not want.
table-sheets-other = Only the first sheet is read. { $count ->
    [one] Another has content, too ({ $sheets }).
   *[other] { $count } others have content, too ({ $sheets }).
} Name the sheet to read.
table-rows-struck = { $count ->
    [one] Row { $rows } holds text that is struck out.
   *[other] Rows { $rows } hold text that is struck out.
}
    .fix = Delete what is cancelled, or take the line away.
table-rules-strike = Conditional formatting may strike out cells of this sheet. All rows count. Delete the rows that are cancelled.
table-rows-unseen = { $count ->
    [one] Row { $rows } is hidden or filtered out.
   *[other] Rows { $rows } are hidden or filtered out.
}
    .fix = Show or delete what is hidden. Coupons that nobody sees are not counted.
table-unit-of-head = "{ $value }" contradicts the head of its column, which is in { $unit }.
    .fix = Write the length in { $unit }, or take the unit out of the head.
table-marks-differ = has numbers with a decimal comma ("{ $comma }") and with a decimal point ("{ $point }").
    .fix = Write all numbers alike, or add decimal = "point" or decimal = "comma" to [[schedule]].
table-comma-odd = "{ $value }" is not a number with a decimal comma.
    .fix = Write it like 1200,5 or 1.200,5, or correct `decimal`.
table-two-marks = "{ $value }" has more than one point or comma.
    .fix = Write the number without signs between thousands, such as 1200.5.
table-comma-or-thousands = "{ $value }" could be { $comma } or { $point }.
    .fix = Write { $point } or { $comma }, or add decimal = "comma" to [[schedule]].
table-rows-most = has more than { $most } rows.
    .fix = Delete the rows below the table, also empty ones, or raise the limit with { $option }.
table-columns-most = has { $found } columns. At most { $most } are read.
    .fix = Delete the columns that are not keys of a piece, or raise the limit with { $option }.
table-point-or-thousands = "{ $value }" could be { $point } or { $comma }.
    .fix = Add decimal = "point" or decimal = "comma" to [[schedule]].
cell-formula = Cell { $cell } has the formula { $formula } without a result.
    .fix = Open the workbook, save it, and try again. Or type the value.
cell-formula-empty = Cell { $cell } has a formula without a result.
    .fix = Open the workbook, save it, and try again. Or type the value.
cell-error = Cell { $cell } shows the error { $value }.
    .fix = Mend its formula, or type the value.
cell-format = Cell { $cell } has a number format ({ $format }) that { $how ->
        [scaled] shows thousands as ones
        [unseen] does not show the number
        [percent] shows a percentage with a unit
        [exponent] shows powers of ten with a unit
       *[sections] shows another unit for negative numbers or zero
    }.
    .fix = Format the cell as a plain number with its unit, such as 0" mm". Or type the value and its unit as text.
cell-shows-another = Cell { $cell } shows { $shown } but holds { $value }.
    .fix = Format the cell as a plain number, or type the value and its unit as text.
cell-beside = "{ $value } { $beside }" has no unit that is known.
    .fix = Write the unit, such as { $value } mm or { $value } in.
cell-number = A cell that should hold a number holds "{ $value }".
    .fix = Type the number again.
cell-number-of = Cell { $cell } should hold a number, but holds "{ $value }".
    .fix = Type the number again.
cell-time = Cell { $cell } is a time of day ({ $value }).
    .fix = Format the cell as text and type it again.
cell-date = Cell { $cell } is a date ({ $value }).
    .fix = Format the cell as text and type it again.

# Drawings and meshes that a piece names.
gap-too-wide = A gap of { $gap_m } is too wide.
    .fix = Write { $limit_m } or less.
key-without-drawing = is for a drawing only.
    .fix = Remove it, or add `file`.
drawing-many-outlines = { $file } has { $count ->
        [0] no outline.
       *[other] { $count } separate outlines.
    }
    .fix = Choose one, with `item` from 1 to { $count }.
drawing-few-outlines = { $file } has { $count ->
        [one] 1 outline
       *[other] { $count } outlines
    }, not { $item }.
    .fix = Choose 1 to { $count }.
outline-source = needs one of `file` and `points`.
    .fix = Give exactly one of them.
open-without-wall = open is for a shell only.
    .fix = Add `wall`.
cutout-keys-missing = A { $kind } cutout needs { $keys }.
    .fix = Add { $keys }.
cutout-keys-strange = A cutout of the kind "{ $kind }" does not use { $keys }.
    .fix = Remove { $keys }, or change `kind`.
glued-in-compound = are glued to a piece of its own.
    .fix = Write the plate as a piece, not as a part of a compound.
part-mark-taken = The part { $mark } has the mark of another piece.
    .fix = Give the leg or splash a `mark` of its own.
edge-named-how = An edge needs one of `edge`, `near` and `layer`.
    .fix = Keep one of them.
edge-layer-part = A layer draws its own parts of edges.
    .fix = Leave out `from` and `to`.
edge-layer-undrawn = names a layer, but the shape names no drawing file.
    .fix = Use `edge` or `near`, or say what the layer means in `edges` of [[drawing]].
edges-once = The edges are missing.
    .fix = Write edges = ["front"].
edges-twice = `edges` and `sides` mean the same.
    .fix = Keep one of them.
profile-once = The profile is missing.
    .fix = Write profile = "bevel".
profile-twice = `profile` and `kind` mean the same.
    .fix = Keep one of them.
profile-no-size = A { $kind } edge needs a size.
    .fix = Write size = { $units ->
        [imperial] "1/4 in"
       *[metric] "6 mm"
    }.
cutout-outline = An outline cutout needs one of `file` and `points`.
    .fix = Give exactly one of them.


# Where a pack, a new job or a picture is written.
folder-is-file = is a file, not a folder.
    .fix = Name another folder.
folder-is-dead-link = is a broken link.
    .fix = Name another folder.
folder-of-run = is the folder that you are in, or holds it, and it is not empty.
    .fix = Change to the folder above it with `cd ..` and name it from there.
folder-of-job = is the folder of the job file.
    .fix = Name a folder in it, such as pack.
folder-foreign-folder = has the folder { $name }, which this program did not write.
    .fix = Move the folder, or name an empty one.
folder-foreign-file = has { $name }, which this program did not write.
    .fix = Move the file, or name an empty folder.
folder-changed-file = has { $name }, which was changed since it was written.
    .fix = Move the file, or name an empty folder.
folder-left-over = { $name } is beside it: { $text }
    .fix = Move { $name } away.
folder-not-written = could not be written ({ $reason }).
    .fix = Name a folder where you may write.
picture-not-ours = "{ $name }" was not written by this program, or was changed since.
    .fix = Name another file.
picture-not-written = "{ $name }" could not be written ({ $reason }).
    .fix = Choose another folder.

# Edits of a job file. $path is the key in it.
edit-not-toml = cannot be edited: { $reason }.
    .fix = Mend the file first. The command "check" says where.
edit-no-key = has no { $path } to change.
    .fix = Check the path of the key.
edit-refused = { $path } could not be changed without touching other lines. Nothing was saved.
    .fix = Change { $path } in an editor.
edit-changed-meanwhile = was saved by somebody else meanwhile. Nothing was saved.
    .fix = Run the command again.
