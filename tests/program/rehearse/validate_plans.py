"""Holds plans against a JSON Schema with a validator written by others: SCHEMA FILE...

Prints a line for each plan that the schema refuses; exit 1 if there is any.
"""
import json
import re
import sys

import jsonschema
import yaml


class Core(yaml.SafeLoader):
    """YAML 1.2's core schema: no dates, no numbers to base 60, no "on" for true."""


Core.yaml_implicit_resolvers = {}
for tag, pattern, first in (
    ("bool", r"true|false", "tf"),
    ("int", r"[-+]?[0-9]+", "-+0123456789"),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", "-+.0123456789"),
    ("null", r"~|null|", ["~", "n", ""]),
):
    Core.add_implicit_resolver("tag:yaml.org,2002:" + tag, re.compile("^(?:%s)$" % pattern), list(first))

with open(sys.argv[1], encoding="utf-8") as file:
    schema = json.load(file)
jsonschema.Draft7Validator.check_schema(schema)
validator = jsonschema.Draft7Validator(schema)
refused = False
for name in sys.argv[2:]:
    with open(name, encoding="utf-8") as file:
        plan = yaml.load(file, Core)
    for error in validator.iter_errors(plan):
        refused = True
        print("%s: %s: %s" % (name, "/".join(map(str, error.absolute_path)), error.message[:200]))
        break
sys.exit(1 if refused else 0)
