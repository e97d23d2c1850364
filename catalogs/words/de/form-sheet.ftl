# Die Kanten, wie das Angebot sie nennt.

side-front = vorn
side-back = hinten
side-left = links
side-right = rechts
side-bottom = unten
side-top = oben
edges-by-number = { $count ->
    [one] Kante { $numbers }
   *[other] Kanten { $numbers }
}
edge-part-of = Stück von { $edge }
edge-near = eine Kante
