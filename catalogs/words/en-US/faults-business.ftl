# What [business] may hold.

business-color-not-hex = "{ $value }" is not a color.
    .fix = Write # and six hexadecimal digits, such as "#1F5C6B".
business-color-too-pale = { $value } is too pale to see on white paper.
    .fix = Choose a darker color.
business-file-not-readable = there is no readable file "{ $name }".
    .fix = Check the path. It starts at the file that names it.
business-font-bold-alone = is given without a font.
    .fix = Add font = "own.ttf", or remove font_bold.
business-font-not-truetype = "{ $name }" is not a TrueType font.
    .fix = Save it with TrueType outlines, as .ttf.
business-font-lacks-signs = "{ $name }" has no glyph for { $signs }.
    .fix = Choose a font with letters, digits and fractions.
business-logo-too-large = "{ $name }" has { $size } MB.
    .fix = Make it smaller than { $most } MB.
business-logo-not-picture = "{ $name }" is not a PNG or JPEG picture.
    .fix = Save it as PNG.
