# Messages of the shop page that British trade English words in another way.
page-total-taxed = Total due, VAT included
page-price-of = { $count ->
    [one] 1 piece, before VAT
   *[other] { $count } pieces, before VAT
  }
page-sum = Price before VAT
client-options = Options, before VAT. Ticked, they are in the total.
prices-terms = Overhead, margin and VAT
