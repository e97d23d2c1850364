# Faults of a catalog of cautions.

cautions-not-toml = not readable as TOML: { $error }.
cautions-other-key = unknown key.
    .fix = Only [[caution]] is read here.
cautions-no-list = is not a list of tables.
    .fix = Write [[caution]].
cautions-no-table = is not a table.
    .fix = Write [[caution]].
cautions-id-twice = id is used twice.
    .fix = Give each caution its own id.
cautions-unknown-key = unknown key.
    .fix = { $offer }
cautions-empty = missing or empty.
    .fix = Enter text.
cautions-unknown = "{ $value }" is not known.
    .fix = { $offer }
cautions-did-you-mean = Did you mean "{ $word }"?
    .fix = Did you mean "{ $word }"?
cautions-known = Known: { $words }.
    .fix = Known: { $words }.
