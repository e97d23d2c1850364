# Lo que comparten los papeles que salen del taller con su nombre.

letter-license = Licencia n.º { $number }
letter-tax-number = Registro fiscal n.º { $number }
letter-sign-signature = Firma
letter-sign-name = Nombre
letter-sign-date = Fecha
