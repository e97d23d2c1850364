# Faults of the shop's store and of the people who use it.

store-elsewhere = The records of this folder are in a database elsewhere, and { $name } does not say where.
    .fix = Set { $name } to its address, or start serve with --database.
store-no-driver = The package { $driver } is missing.
    .fix = Install it: pip install "cast-estimator[postgresql]".
store-no-address = is not the address of a database.
    .fix = Enter postgresql+psycopg://USER@HOST/NAME.
store-not-opened = The records can't be opened: { $reason }.
    .fix = Check that the folder can be written and the database runs.
store-missing = has no records database yet.
    .fix = Open the shop page on the folder once: cast-estimator serve.
store-backup-elsewhere = The records are in a database elsewhere.
    .fix = Back it up with its own tool: pg_dump --format=custom --file={ $file } "{ $address }"
store-restore-elsewhere = The records are in a database elsewhere.
    .fix = Restore them with its own tool: pg_restore --clean --if-exists --dbname="{ $address }" { $file }
store-other-shop = The database holds the records of another shop folder.
    .fix = Give this folder a database of its own. Two offices of one shop: copy { $file } from its folder into this one.
store-backup-stands = exists already.
    .fix = Enter the name of a new file.
store-no-backup = is not a backup of the records.
    .fix = Enter a file that `store backup` wrote.

person-no-name = The name is missing or too long.
    .fix = Enter a name of up to { $most } letters.
person-no-role = This is not a role.
    .fix = Choose office, shop or crew.
person-short-secret = The password is too short.
    .fix = Enter { $least } characters or more, or leave it empty for an access code.
person-wrong-secret = The current password is wrong.
    .fix = Enter it again, or ask the office for a new code.
person-name-taken = { $name } is on the list already.
    .fix = Enter another name.
person-first = Somebody of the office must be first.
    .fix = Add yourself with the role office.
person-last-role = Nobody of the office would be left.
    .fix = Give somebody else the role office first.
person-last = The others could not be managed any more.
    .fix = Add somebody of the office first, or remove the others first.
