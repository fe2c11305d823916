"""The text file in every dossier: how to check it with common tools alone (sha256sum, openssl, pdfdetach).

The commands are for any POSIX shell. They are run against real files in the tests; the words around them
stand in the catalogue. Not done here: any checking.
"""

from __future__ import annotations

import textwrap

from dossier.model.record import OpenRecord
from dossier.pages.options import PageOptions
from dossier.pages.sheet_text import filled
from dossier.words import Catalogue

GET_OUT = """\
pdfdetach -saveall dossier.pdf
"""

PHOTOGRAPHS = """\
sha256sum -c manifest.sha256
"""
PHOTOGRAPHS_BESIDE = """\
(cd photographs && sha256sum -c ../manifest.sha256)
"""

# RFC 7515 section 5.2 (what is signed) and RFC 7518 section 3.4 (r and s, 32 bytes each, made into DER).
SIGNATURE_P256 = """\
tr -d '\\n' < record.sd-jwt | cut -d'~' -f1 | tr -d '\\n' > jws
cut -d. -f1,2 jws | tr -d '\\n' > signed
{ cut -d. -f3 jws | tr -d '\\n' | tr '_-' '/+'; printf '=='; } | openssl base64 -d -A > rs
r=$(head -c 32 rs | od -An -v -tx1 | tr -d ' \\n')
s=$(tail -c 32 rs | od -An -v -tx1 | tr -d ' \\n')
printf 'asn1=SEQUENCE:two\\n[two]\\nr=INTEGER:0x%s\\ns=INTEGER:0x%s\\n' "$r" "$s" > rs.cnf
openssl asn1parse -genconf rs.cnf -noout -out rs.der
openssl x509 -in certificate.pem -pubkey -noout > key.pem
openssl dgst -sha256 -verify key.pem -signature rs.der signed
"""

# RFC 8037 section 3.1.
SIGNATURE_ED25519 = """\
tr -d '\\n' < record.sd-jwt | cut -d'~' -f1 | tr -d '\\n' > jws
cut -d. -f1,2 jws | tr -d '\\n' > signed
{ cut -d. -f3 jws | tr -d '\\n' | tr '_-' '/+'; printf '=='; } | openssl base64 -d -A > rs
openssl x509 -in certificate.pem -pubkey -noout > key.pem
openssl pkeyutl -verify -pubin -inkey key.pem -rawin -in signed -sigfile rs
"""

DIGEST = """\
p=$(cut -d. -f2 jws | tr -d '\\n' | tr '_-' '/+')
while [ $(( ${#p} % 4 )) -ne 0 ]; do p="$p="; done
printf '%s' "$p" | openssl base64 -d -A > payload.json
openssl dgst -sha256 payload.json
"""

# The lists of photographs, the one inside and the one that lies with them, by name and digest in the record.
# RFC 9901 section 4.2.3: the digest of a disclosure is over its base64url text.
DISCLOSURES = """\
for list in manifest.sha256 photographs/manifest.sha256; do
  if [ -f $list ]; then while read -r h n; do
    if grep -q "\\"name\\":\\"$n\\"[^{}]*\\"sha256\\":\\"$h\\"" payload.json
    then echo "in the record: $n"; else echo "NOT IN THE RECORD: $n"; fi
  done < $list; fi
done
tr '~' '\\n' < record.sd-jwt | tail -n +2 | grep . | while read -r d; do
  h=$(printf '%s' "$d" | openssl dgst -sha256 -binary | openssl base64 -A | tr '+/' '-_' | tr -d '=')
  if grep -q "\\"$h\\"" payload.json; then echo "in the record: $h"; else echo "NOT IN THE RECORD: $h"; fi
done
"""

# RFC 7638 section 3 for a P-256 key; the first 16 bytes of the thumbprint, two bytes a group.
FINGERPRINT_P256 = """\
openssl pkey -pubin -in key.pem -outform DER | tail -c 64 > xy
x=$(head -c 32 xy | openssl base64 -A | tr '+/' '-_' | tr -d '=')
y=$(tail -c 32 xy | openssl base64 -A | tr '+/' '-_' | tr -d '=')
printf '{"crv":"P-256","kty":"EC","x":"%s","y":"%s"}' "$x" "$y" | openssl dgst -sha256 -binary |
  od -An -v -tu1 -N16 | tr -s ' ' '\\n' | grep . | paste -d' ' - - |
  awk '{ printf "%05d ", $1 * 256 + $2 }'; echo
"""

FINGERPRINT_ED25519 = """\
x=$(openssl pkey -pubin -in key.pem -outform DER | tail -c 32 | openssl base64 -A | tr '+/' '-_' | tr -d '=')
printf '{"crv":"Ed25519","kty":"OKP","x":"%s"}' "$x" | openssl dgst -sha256 -binary |
  od -An -v -tu1 -N16 | tr -s ' ' '\\n' | grep . | paste -d' ' - - |
  awk '{ printf "%05d ", $1 * 256 + $2 }'; echo
"""

# ISO 32000-1 section 12.8.1: ByteRange is two pairs of offset and length; Contents is hex between them.
PDF_SIGNATURE = """\
set -- $(grep -a -o '/ByteRange *\\[[0-9 ]*\\]' dossier.pdf | head -n 1 | tr -dc '0-9 ')
{ head -c "$2" dossier.pdf; tail -c "+$(($3 + 1))" dossier.pdf | head -c "$4"; } > signed.bin
tail -c "+$(($2 + 2))" dossier.pdf | head -c "$(($3 - $2 - 2))" | xxd -r -p > signature.der
openssl cms -verify -inform DER -in signature.der -content signed.bin -binary \\
  -nointern -certfile certificate.pem -noverify -out /dev/null
echo "$(($3 + $4))"; wc -c < dossier.pdf
"""


# RFC 3161; FORMAT.md section 4: a time-stamp is over the record without what a copy may leave out.
TIME = """\
sed 's/"header":{"disclosures":\\[[^]]*\\]},//' record.json > stamped
openssl ts -reply -in record.tsr -text
openssl ts -verify -data stamped -in record.tsr -CAfile authority.pem
"""


def commands(record: OpenRecord, *, stamped: bool = False, beside: bool = False) -> dict[str, str]:
    """The commands of each step, for the kind of key that signed the record.

    `stamped`: whether a time-stamp over the record is among the files. `beside`: whether the photographs lie
    in a folder of their own.
    """
    edwards = bool(record.payload.workshop.keys) and record.payload.workshop.keys[0].get("kty") == "OKP"
    steps = {
        "get_out": GET_OUT,
        "photographs": PHOTOGRAPHS_BESIDE if beside else PHOTOGRAPHS,
        "signature": SIGNATURE_ED25519 if edwards else SIGNATURE_P256,
        "digest": DIGEST,
        "disclosures": DISCLOSURES,
        "fingerprint": FINGERPRINT_ED25519 if edwards else FINGERPRINT_P256,
    }
    pages = {} if edwards else {"pdf": PDF_SIGNATURE}  # PAdES here is P-256 alone
    return {**steps, **({"time": TIME} if stamped else {}), **pages}


def text(record: OpenRecord, options: PageOptions, *, stamped: bool = False) -> str:
    """The whole file, UTF-8, lines of at most 78 letters (commands apart), ending in a line end.

    `stamped`: whether `record.tsr` is in this dossier.
    """
    words = Catalogue(options.language)
    blocks = [*_opening(record, options, words)]
    found = commands(record, stamped=stamped, beside=options.originals == "beside")
    steps = {step: lines for step, lines in found.items() if step != "pdf" or options.signed}
    for number, (step, lines) in enumerate(steps.items(), 1):
        title = f"{number}. {words.say(f'pages.how.{step}_title')}"
        blocks += [
            title,
            filled(_said(record, options, words, step)),
            textwrap.indent(lines.rstrip("\n"), "    "),
        ]
        if step == "signature" and _has_second(record):
            blocks.append(filled(words.say("pages.how.second")))
        if step == "fingerprint":
            blocks.append(filled(words.say("pages.how.key_card")))
        if step == "pdf" and options.time_places:
            blocks.append(filled(words.say("pages.how.pdf_times")))
    return "\n\n".join([*blocks, *_closing(words)]) + "\n"


def _has_second(record: OpenRecord) -> bool:
    """Whether a key of tomorrow's kind has signed besides, which the commands do not look at."""
    return any(key.get("alg") == "ML-DSA-65" for key in record.payload.workshop.keys[1:])


def _said(record: OpenRecord, options: PageOptions, words: Catalogue, step: str) -> str:
    """The words of one step, with what the result must be compared with."""
    kind = options.originals if record.payload.photographs else "no_photographs"
    return words.say(
        f"pages.how.{step}",
        digest=record.digest,
        fingerprint=options.fingerprint or words.say("pages.checking.no_fingerprint"),
        ring=_ring(record.payload.workshop.telephone, words),
        originals=words.say(f"pages.how.originals_{kind}"),
    )


def _ring(telephone: str, words: Catalogue) -> str:
    """How to have the fingerprint confirmed: a number that came with the record confirms nothing."""
    return words.say("pages.how.ring" if telephone else "pages.how.ring_no_telephone", telephone=telephone)


def _labelled(words: Catalogue, key: str, value: str) -> str:
    label = words.say(f"pages.label.{key}")
    return words.say("pages.labelled", label=label, value=" ".join(value.split()))


def _opening(record: OpenRecord, options: PageOptions, words: Catalogue) -> list[str]:
    payload = record.payload
    title = words.say("pages.how.title")
    about = (
        ("object", payload.object.title or payload.object.type),
        ("workshop", payload.workshop.name),
        ("job", payload.job),
        ("record", payload.record),
        ("digest", record.digest),
        ("fingerprint", options.fingerprint),
    )
    lines = [_labelled(words, key, value) for key, value in about if value]
    notices = [f"pages.checking.{key}" for key in options.notices]
    return [
        f"{title}\n{'=' * len(title)}",
        "\n".join(lines),
        *[filled(words.say(key)) for key in notices],
        filled(words.say("pages.how.lead")),
    ]


def _closing(words: Catalogue) -> list[str]:
    cannot = [
        f"- {words.say(f'pages.checking.cannot_{key}')}" for key in ("object", "truth", "owner", "later")
    ]
    return [words.say("pages.how.cannot_title"), "\n".join(filled(line, after="  ") for line in cannot)]
