"""Destinations: ISO 3166-1 codes with the names people write, and which of them share a customs territory.

Source: ISO 3166-1 (alpha-2, alpha-3). Names are common English ones, with frequent other spellings; they take
no position on any territory.
"""

import re
import unicodedata

# alpha-2, alpha-3, name | other names
_TABLE = """
AD AND Andorra
AE ARE United Arab Emirates|UAE|Emirates
AF AFG Afghanistan
AG ATG Antigua and Barbuda|Antigua
AI AIA Anguilla
AL ALB Albania
AM ARM Armenia
AO AGO Angola
AQ ATA Antarctica
AR ARG Argentina
AS ASM American Samoa
AT AUT Austria|Österreich|Oesterreich
AU AUS Australia
AW ABW Aruba
AX ALA Åland Islands|Aland
AZ AZE Azerbaijan
BA BIH Bosnia and Herzegovina|Bosnia
BB BRB Barbados
BD BGD Bangladesh
BE BEL Belgium|Belgique|België|Belgien
BF BFA Burkina Faso
BG BGR Bulgaria
BH BHR Bahrain
BI BDI Burundi
BJ BEN Benin
BL BLM Saint Barthélemy
BM BMU Bermuda
BN BRN Brunei|Brunei Darussalam
BO BOL Bolivia|Plurinational State of Bolivia
BQ BES Bonaire, Sint Eustatius and Saba|Caribbean Netherlands|Bonaire
BR BRA Brazil|Brasil
BS BHS Bahamas|The Bahamas
BT BTN Bhutan
BV BVT Bouvet Island
BW BWA Botswana
BY BLR Belarus
BZ BLZ Belize
CA CAN Canada
CC CCK Cocos (Keeling) Islands|Cocos Islands
CD COD Democratic Republic of the Congo|Congo (Dem. Rep.)|DR Congo|Congo-Kinshasa
CF CAF Central African Republic
CG COG Republic of the Congo|Congo|Congo-Brazzaville
CH CHE Switzerland|Schweiz|Suisse|Svizzera
CI CIV Côte d'Ivoire|Ivory Coast
CK COK Cook Islands
CL CHL Chile
CM CMR Cameroon
CN CHN China|People's Republic of China|PR China|Mainland China
CO COL Colombia
CR CRI Costa Rica
CU CUB Cuba
CV CPV Cabo Verde|Cape Verde
CW CUW Curaçao
CX CXR Christmas Island
CY CYP Cyprus
CZ CZE Czechia|Czech Republic|Česko
DE DEU Germany|Deutschland|Allemagne
DJ DJI Djibouti
DK DNK Denmark|Danmark
DM DMA Dominica
DO DOM Dominican Republic
DZ DZA Algeria
EC ECU Ecuador
EE EST Estonia|Eesti
EG EGY Egypt
EH ESH Western Sahara
ER ERI Eritrea
ES ESP Spain|España|Espagne|Spanien
ET ETH Ethiopia
FI FIN Finland|Suomi
FJ FJI Fiji
FK FLK Falkland Islands|Falkland Islands (Malvinas)
FM FSM Micronesia|Federated States of Micronesia
FO FRO Faroe Islands|Faroes
FR FRA France|Frankreich
GA GAB Gabon
GB GBR United Kingdom|UK|Great Britain|Britain|England|Scotland|Wales|Northern Ireland
GB GBR United Kingdom of Great Britain and Northern Ireland
GD GRD Grenada
GE GEO Georgia
GF GUF French Guiana
GG GGY Guernsey
GH GHA Ghana
GI GIB Gibraltar
GL GRL Greenland
GM GMB Gambia|The Gambia
GN GIN Guinea
GP GLP Guadeloupe
GQ GNQ Equatorial Guinea
GR GRC Greece|Hellas|EL
GS SGS South Georgia and the South Sandwich Islands
GT GTM Guatemala
GU GUM Guam
GW GNB Guinea-Bissau
GY GUY Guyana
HK HKG Hong Kong|Hong Kong SAR
HM HMD Heard Island and McDonald Islands
HN HND Honduras
HR HRV Croatia|Hrvatska
HT HTI Haiti
HU HUN Hungary|Magyarország
ID IDN Indonesia
IE IRL Ireland|Republic of Ireland|Eire|Éire
IL ISR Israel
IM IMN Isle of Man
IN IND India
IO IOT British Indian Ocean Territory
IQ IRQ Iraq
IR IRN Iran|Islamic Republic of Iran
IS ISL Iceland|Ísland
IT ITA Italy|Italia|Italien
JE JEY Jersey
JM JAM Jamaica
JO JOR Jordan
JP JPN Japan|Nippon
KE KEN Kenya
KG KGZ Kyrgyzstan
KH KHM Cambodia
KI KIR Kiribati
KM COM Comoros
KN KNA Saint Kitts and Nevis
KP PRK North Korea|Democratic People's Republic of Korea|Korea (North)
KR KOR South Korea|Republic of Korea|Korea (South)|Korea (Republic of)
KW KWT Kuwait
KY CYM Cayman Islands
KZ KAZ Kazakhstan
LA LAO Laos|Lao People's Democratic Republic
LB LBN Lebanon
LC LCA Saint Lucia
LI LIE Liechtenstein
LK LKA Sri Lanka
LR LBR Liberia
LS LSO Lesotho
LT LTU Lithuania|Lietuva
LU LUX Luxembourg|Luxemburg
LV LVA Latvia|Latvija
LY LBY Libya
MA MAR Morocco
MC MCO Monaco
MD MDA Moldova|Republic of Moldova
ME MNE Montenegro
MF MAF Saint Martin|Saint Martin (French)|Saint Martin (French part)
MG MDG Madagascar
MH MHL Marshall Islands
MK MKD North Macedonia|Macedonia
ML MLI Mali
MM MMR Myanmar|Burma
MN MNG Mongolia
MO MAC Macao|Macau
MP MNP Northern Mariana Islands
MQ MTQ Martinique
MR MRT Mauritania
MS MSR Montserrat
MT MLT Malta
MU MUS Mauritius
MV MDV Maldives
MW MWI Malawi
MX MEX Mexico|México
MY MYS Malaysia
MZ MOZ Mozambique
NA NAM Namibia
NC NCL New Caledonia
NE NER Niger
NF NFK Norfolk Island
NG NGA Nigeria
NI NIC Nicaragua
NL NLD Netherlands|The Netherlands|Holland|Nederland|Niederlande|Pays-Bas
NO NOR Norway|Norge
NP NPL Nepal
NR NRU Nauru
NU NIU Niue
NZ NZL New Zealand|Aotearoa
OM OMN Oman
PA PAN Panama
PE PER Peru|Perú
PF PYF French Polynesia|Tahiti
PG PNG Papua New Guinea
PH PHL Philippines|The Philippines
PK PAK Pakistan
PL POL Poland|Polska|Polen
PM SPM Saint Pierre and Miquelon
PN PCN Pitcairn|Pitcairn Islands
PR PRI Puerto Rico
PS PSE Palestine|State of Palestine|Palestinian Territories
PT PRT Portugal
PW PLW Palau
PY PRY Paraguay
QA QAT Qatar
RE REU Réunion
RO ROU Romania|România
RS SRB Serbia|Srbija
RU RUS Russia|Russian Federation
RW RWA Rwanda
SA SAU Saudi Arabia
SB SLB Solomon Islands
SC SYC Seychelles
SD SDN Sudan
SE SWE Sweden|Sverige|Schweden
SG SGP Singapore
SH SHN Saint Helena|Saint Helena, Ascension and Tristan da Cunha
SI SVN Slovenia|Slovenija
SJ SJM Svalbard and Jan Mayen
SK SVK Slovakia|Slovak Republic|Slovensko
SL SLE Sierra Leone
SM SMR San Marino
SN SEN Senegal
SO SOM Somalia
SR SUR Suriname
SS SSD South Sudan
ST STP São Tomé and Príncipe
SV SLV El Salvador
SX SXM Sint Maarten|Saint Maarten (Dutch)|Sint Maarten (Dutch part)
SY SYR Syria|Syrian Arab Republic
SZ SWZ Eswatini|Swaziland
TC TCA Turks and Caicos Islands
TD TCD Chad
TF ATF French Southern Territories
TG TGO Togo
TH THA Thailand
TJ TJK Tajikistan
TK TKL Tokelau
TL TLS Timor-Leste|East Timor
TM TKM Turkmenistan
TN TUN Tunisia
TO TON Tonga
TR TUR Türkiye|Turkey
TT TTO Trinidad and Tobago
TV TUV Tuvalu
TW TWN Taiwan|Taiwan, Province of China
TZ TZA Tanzania|United Republic of Tanzania
UA UKR Ukraine
UG UGA Uganda
UM UMI United States Minor Outlying Islands|US minor outlying islands
US USA United States|United States of America|U.S.A.|U.S.|America
UY URY Uruguay
UZ UZB Uzbekistan
VA VAT Vatican City|Holy See|Holy See (Vatican City State)
VC VCT Saint Vincent and the Grenadines|Saint Vincent
VE VEN Venezuela|Bolivarian Republic of Venezuela
VG VGB British Virgin Islands|Virgin Islands (UK)
VI VIR US Virgin Islands|Virgin Islands (US)
VN VNM Vietnam|Viet Nam
VU VUT Vanuatu
WF WLF Wallis and Futuna
WS WSM Samoa|Western Samoa
YE YEM Yemen
YT MYT Mayotte
ZA ZAF South Africa
ZM ZMB Zambia
ZW ZWE Zimbabwe
"""

EU_MEMBERS = frozenset(
    {
        *("AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU"),
        *("IE", "IT", "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK"),
    }
)
"""The 27 members. Parts of some (Canary Islands, Åland, ...) lie outside its VAT or customs territory."""


def _key(text: str) -> str:
    """One spelling for many: no accents, no dots or brackets, & as and, Saint as st, no leading the."""
    plain = unicodedata.normalize("NFKD", text).casefold()
    plain = "".join(c for c in plain if not unicodedata.combining(c)).replace("&", " and ").replace("’", "'")
    words = re.sub(r"[^\w']+", " ", plain.replace(".", "")).split()
    words = ["st" if word == "saint" else word for word in words]
    return " ".join(words[1:] if words[:1] == ["the"] else words)


NAMES: dict[str, str] = {}
"""Common name by alpha-2 code, all of ISO 3166-1."""

_BY_KEY: dict[str, str] = {}
for _line in _TABLE.strip().splitlines():
    _alpha2, _alpha3, _rest = _line.split(" ", 2)
    NAMES.setdefault(_alpha2, _rest.split("|")[0])
    for _name in (_alpha2, _alpha3, *_rest.split("|")):
        assert _BY_KEY.setdefault(_key(_name), _alpha2) == _alpha2, f"{_name} names two countries"


def country_code(text: str) -> str | None:
    """ISO 3166-1 alpha-2 code for a code or a common name; None where it is not known for sure."""
    if (code := _BY_KEY.get(_key(text))) or "," not in text:
        return code
    name, title = text.split(",", 1)  # as in lists: Moldova, Republic of
    return _BY_KEY.get(_key(f"{title} {name}"))


def known_names() -> tuple[str, ...]:
    """All names in the table, for suggestions."""
    return tuple(NAMES.values())
