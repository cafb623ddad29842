"""Numbers on labels: the GS1 check digit, and the serial shipping container code of a parcel or pallet.

Source: GS1 General Specifications, section 7.9 (standard check digit calculations for GS1 data structures).
"""

LENGTHS = {"GTIN-8": 8, "GTIN-12": 12, "GTIN-13": 13, "GTIN-14": 14, "GLN": 13, "SSCC": 18}


def check_digit(body: str) -> str:
    """The digit that completes `body` (the number without its check digit).

    From the right, digits weigh 3, 1, 3, ...; the check digit takes the sum up to a multiple of ten.
    """
    if not body.isascii() or not body.isdigit():
        raise ValueError(f"{body!r} is not a string of digits 0 to 9")
    total = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(body)))
    return str(-total % 10)


def is_valid(number: str, kind: str) -> bool:
    """Whether `number` has the length of its kind (a key of LENGTHS) and its check digit is right."""
    if not (number.isascii() and number.isdigit()) or len(number) != LENGTHS[kind]:
        return False
    return check_digit(number[:-1]) == number[-1]


def sscc(company_prefix: str, serial: int, extension: int = 0) -> str:
    """Serial shipping container code, 18 digits: extension, the maker's GS1 company prefix, serial, check.

    Raises ValueError where the prefix is not 4 to 12 digits, or the serial has no room beside it.
    """
    if not (company_prefix.isascii() and company_prefix.isdigit() and 4 <= len(company_prefix) <= 12):
        raise ValueError(f"company prefix {company_prefix!r} must be the 4 to 12 digits that GS1 gave out")
    if not 0 <= extension <= 9:
        raise ValueError(f"extension digit {extension} must be 0 to 9")
    room = 16 - len(company_prefix)
    if serial < 0 or len(str(serial)) > room:
        raise ValueError(f"serial {serial} does not fit the {room} digits beside the company prefix")
    body = f"{extension}{company_prefix}{serial:0{room}d}"
    return body + check_digit(body)
