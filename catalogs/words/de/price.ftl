# Die Steuern des Angebots.

price-line-tax-agreed = MwSt. wie angenommen
price-line-tax-price = MwSt. { $of_share }
price-line-tax-pieces = MwSt. { $of_share } auf die Teile
price-line-tax-template = MwSt. { $of_share } auf die Schablone
price-line-tax-delivery = MwSt. { $of_share } auf die Lieferung
price-line-tax-installation = MwSt. { $of_share } auf die Montage
price-line-tax-options = MwSt. { $of_share } auf Optionen
