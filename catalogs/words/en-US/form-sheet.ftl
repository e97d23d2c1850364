# Form sheet, and the full-size drawing of each form.

form-drawing-check-bar = CHECK BAR { $length_m }
