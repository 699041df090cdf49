"""Validates messages with implementations of others: `validate.py fhir|hl7 FILE...`.

Needs fhir.resources (the FHIR R5 models of the published specification) and hl7apy (the tables of
HL7 version 2.5.1), both from PyPI. Prints each fault; the exit status is 1 if there is any.
"""

import json
import sys


def fhir(path):
    from fhir.resources import get_fhir_model_class

    with open(path, encoding="utf-8") as file:
        bundle = json.load(file)
    faults = []
    for resource in [bundle] + [entry["resource"] for entry in bundle["entry"]]:
        try:
            get_fhir_model_class(resource["resourceType"]).model_validate(resource)
        except ValueError as why:
            faults.append(f"{resource['resourceType']}: {why}")
    return faults


def shortened(segment):
    """The segment with a long text cut: hl7apy takes every OBX-5 for an ST, whatever OBX-2 says."""
    fields = segment.split("|")
    if fields[0] == "OBX" and fields[2] == "TX" and len(fields[5]) <= 65536:
        fields[5] = fields[5].replace("\\", "")[:100]
    return "|".join(fields)


def hl7(path):
    from hl7apy.consts import VALIDATION_LEVEL
    from hl7apy.exceptions import HL7apyException
    from hl7apy.parser import parse_message

    with open(path, encoding="utf-8", newline="") as file:
        text = file.read()
    try:
        text = "\r".join(map(shortened, text.split("\r")))
        message = parse_message(text, validation_level=VALIDATION_LEVEL.STRICT, find_groups=True)
        message.validate()
    except HL7apyException as why:
        return [f"{type(why).__name__}: {why}"]
    segments = text.count("\r")
    if len(message.to_er7().strip("\r").split("\r")) != segments:
        return ["not all segments were taken"]
    return []


def main():
    validate = {"fhir": fhir, "hl7": hl7}[sys.argv[1]]
    faults = [f"{path}: {fault}" for path in sys.argv[2:] for fault in validate(path)]
    print("\n".join(faults))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
