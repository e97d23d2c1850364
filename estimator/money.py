"""Money: decimal amounts to the cent, rounded half up once per line, in a currency of ISO 4217."""

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")
GUARD_DECIMALS = 9  # further digits of a product in floats are rounding error: 0.3 · 1735.35 is 520.6049999...
ZERO = Decimal("0.00")


def cents(amount: float | Decimal) -> Decimal:
    """Round an amount half up to the cent. A float is taken at its shortest decimal form, as it was written.

    >>> cents(2.675), cents(-0.005)
    (Decimal('2.68'), Decimal('-0.01'))
    """
    exact = amount if isinstance(amount, Decimal) else Decimal(repr(float(amount)))
    return exact.quantize(CENT, rounding=ROUND_HALF_UP)


def round2(number: float) -> Decimal:
    """Round a computed value half up to two decimals, after removing floating-point error.

    >>> round2(0.3 * 1735.35), round2(0.125 * 0.36)
    (Decimal('520.61'), Decimal('0.05'))
    """
    return cents(round(number, GUARD_DECIMALS))


def total(lines: Iterable[Decimal]) -> Decimal:
    """Sum of rounded lines."""
    return sum(lines, ZERO)


_TWO = """
AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP CRC CUP
CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS
KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD
PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP
TRY TTD TWD TZS UAH USD UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG
"""
_NONE = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
_THREE = "BHD IQD JOD KWD LYD OMR TND"

DECIMALS: dict[str, int] = {
    code: decimals for codes, decimals in ((_TWO, 2), (_NONE, 0), (_THREE, 3)) for code in codes.split()
}
CURRENCIES = frozenset(DECIMALS)
