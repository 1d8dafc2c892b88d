"""Holds the API to its own description, as each kind of asker, with schemathesis (PyPI).

    python tests/reference/described.py http://127.0.0.1:8000

The service must be one of the demo with nothing real in it: what is sent is kept there.
For nobody in particular and for a key of each role, every operation of openapi.json is
asked with examples, edge cases and random values, of which some are led to cards that
exist and some carry a document that is taken, whole or with one value put out of place;
left to chance alone, hardly a request would get past the first check of its fields.
Wrong is: a 5xx, a status, content type, header or body that the description does not
have, and no answer. One check is one operation as one asker; one more per operation is
that somebody was answered with what they asked for.
Ends with "N passed, N failed"; exits 1 when anything failed or nothing was asked.
"""

import collections
import copy
import html
import pathlib
import random
import re
import sys

import requests
import schemathesis
from schemathesis.config import SchemathesisConfig
from schemathesis.engine import events, from_schema

ROOT = pathlib.Path(__file__).parents[2]
ROLES = ("member", "officer", "trainer", "keeper")
API = "/api/v1"
# The same seed, so the same requests, at each run.
SEED = 20260309
CONFIG = {
    "seed": SEED,
    "workers": 1,
    "continue-on-failure": True,
    "request-timeout": 20,
    # Nothing of one run comes into the next, nor lies about here.
    "cache": {"enabled": False},
    # A key that is made up says nothing about the asker at hand.
    "generation": {"max-examples": 12, "no-shrink": True, "database": "none", "with-security-parameters": False},
    "phases": {"stateful": {"enabled": False}},
    # Of the other checks, one is about what is refused, which the description does not
    # say in full (a station on its span, a kind for its place); tests/it/contract does.
    "checks": {
        "enabled": False,
        "not_a_server_error": {"enabled": True},
        "status_code_conformance": {"enabled": True},
        "content_type_conformance": {"enabled": True},
        "response_headers_conformance": {"enabled": True},
        "response_schema_conformance": {"enabled": True},
    },
}
# What computes from what is sent and asks nobody who they are answers all alike. Its
# edge cases, more than all others together, are asked once; the rest as every asker.
ASKED_ONCE = [
    {"include-path": f"{API}/{name}", "phases": {"coverage": {"enabled": False}}} for name in ("plan", "zones")
]
# What a field is not meant to hold.
OUT_OF_PLACE = (None, True, -1, 0, 1e308, 10**12, 0.1, "", " ", "x" * 5000, "\u202e\U0001f692", "<b>'\"--", [], [[]], {}, {"": None})


def make_keys(base):
    """A key of each role, made on the pages by the demo's keeper."""
    accounts = (ROOT / "src/demo/accounts.rs").read_text(encoding="utf-8")
    password = re.search(r'READY_PASSWORD: &str = "([^"]+)"', accounts)[1]
    name = re.search(r'account\("(\w+)", "[^"]+", \w+, &\[Role::Keeper\]\)', accounts)[1]
    browser = requests.Session()
    browser.headers["Origin"] = base
    browser.post(f"{base}/sign-in", {"name": name, "password": password}, timeout=20).raise_for_status()
    keys = {}
    for role in ROLES:
        asked = {"do": "make", "label": f"Description as {role}", "role": role, "days": "30"}
        page = browser.post(f"{base}/keys", asked, timeout=20)
        page.raise_for_status()
        keys[role] = html.unescape(re.search(r'<code class="link">([^<]+)</code>', page.text)[1])
    return keys


class Known:
    """What exists at the service, and a document that each operation takes."""

    def __init__(self, base, key):
        def get(path):
            answer = requests.get(base + API + path, headers={"Authorization": f"Bearer {key}"}, timeout=20)
            answer.raise_for_status()
            return answer.json()

        cards = get("/cards?limit=100")["cards"]
        # Some of the department's own, and one of a neighbour where one is shared.
        own = [c["id"] for c in cards if c["own"]][:3]
        self.own = own
        self.cards = own + [c["id"] for c in cards if not c["own"]][:1]
        # Findings that are there to be withdrawn, by card.
        self.findings = {id: [f["id"] for f in get(f"/cards/{id}")["findings"]] for id in self.cards}
        card = get(f"/cards/{own[0]}")
        # A finding the service has not numbered yet.
        new = {k: v for k, v in card["findings"][0].items() if k not in ("id", "component", "status")}
        ask = {"seats": ["front-left"], "care": "gentle"}
        # A picture that is at hand, on a note that is there.
        drawn = requests.get(f"{base}{API}/cards/{own[0]}/sketch.png?width=64", headers={"Authorization": f"Bearer {key}"}, timeout=20)
        self.notes = {id: [n["id"] for n in get(f"/cards/{id}/annotations")["annotations"]] for id in self.cards}
        self.noted = [id for id in own if self.notes[id]]
        form = {"photo": ("a.png", drawn.content, "image/png")}
        path = f"{base}{API}/cards/{self.noted[0]}/annotations/{self.notes[self.noted[0]][0]}/photos"
        sent = requests.post(path, files=form, data={"alt": "a drawing"}, headers={"Authorization": f"Bearer {key}"}, timeout=20)
        sent.raise_for_status()
        self.photo = sent.json()["name"]
        self.form = {"photo": drawn.content, "alt": "a drawing"}
        self.documents = {
            f"POST {API}/cards": card,
            f"POST {API}/zones": card,
            f"POST {API}/plan": {"card": card, "ask": ask},
            f"POST {API}/cards/{{id}}/plan": {"ask": ask},
            f"POST {API}/cards/{{id}}/findings": {"findings": [new]},
            f"POST {API}/cards/{{id}}/findings/{{finding}}/status": {"status": "withdrawn", "reason": "wrong end"},
            f"POST {API}/cards/{{id}}/annotations": {"annotations": [{"text": "Clip breaks"}]},
            f"PUT {API}/cards/{{id}}/details": get(f"/cards/{own[0]}/details"),
            f"PUT {API}/department/openings": {"openings": [], "rules_off": []},
            f"PUT {API}/department/tools": {"tools": [{"name": "big cutter", "kind": "cutter", "force_kn": 640}]},
        }


def places(value, at=()):
    """Every place in a document, outermost first."""
    if at:
        yield at
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, held in inside:
        yield from places(held, (*at, name))


def put_out_of_place(document, chance):
    """One value of the document is another; the document itself stays."""
    document = copy.deepcopy(document)
    *way, last = chance.choice(list(places(document)))
    holder = document
    for name in way:
        holder = holder[name]
    holder[last] = chance.choice(OUT_OF_PLACE)
    return document


def lead_to_what_exists(known):
    """Leads some of what is about to be sent to something that exists."""
    chance = random.Random(SEED)

    def before_call(context, case, kwargs):
        label = case.operation.label
        # Now and then everything about a request is right, so that it gets through.
        # Few are sent about one finding, and one withdrawn stays so: there more often.
        sound = chance.random() < (0.4 if "{finding}" in label else 0.15)

        def now_and_then(share):
            return sound or chance.random() < share

        if "/cards/{id}" in label and now_and_then(0.7):
            card = chance.choice(known.own if sound else known.cards)
            ways = {"id": card}
            if "{finding}" in label:
                ways["finding"] = chance.choice(known.findings[card])
            case.path_parameters = {**(case.path_parameters or {}), **ways}
        if "{note}" in label and now_and_then(0.7):
            card = chance.choice(known.noted)
            case.path_parameters = {"id": card, "note": chance.choice(known.notes[card])}
            if sound and case.method == "POST":
                case.body = dict(known.form)
                case.media_type = "multipart/form-data"
        if "/photos/{name}" in label and now_and_then(0.5):
            case.path_parameters = {"id": known.noted[0], "name": known.photo}
        if "/body-styles/{id}" in label and now_and_then(0.3):
            case.path_parameters = {"id": chance.choice(("sedan", "suv"))}
        if case.method != label.split()[0]:
            # A method the address does not take; its answer is what is looked at.
            return
        if any(p.name == "if-match" for p in case.operation.headers) and now_and_then(0.6):
            case.headers = {**(case.headers or {}), "if-match": chance.choice(("*", "*", "*", '"1"'))}
        if case.method == "GET" and not sound and chance.random() < 0.1:
            case.headers = {**(case.headers or {}), "if-none-match": "*"}
        if label in known.documents and now_and_then(0.3):
            whole = known.documents[label]
            case.body = copy.deepcopy(whole) if sound else put_out_of_place(whole, chance)
            case.media_type = "application/json"

    return before_call


class Tally:
    """What was asked, what was answered, and what was found wrong."""

    def __init__(self):
        self.asked = collections.Counter()
        self.statuses = collections.defaultdict(collections.Counter)
        self.wrong = collections.defaultdict(dict)

    def scenario(self, asker, event):
        recorder = event.recorder
        for case_id, interaction in recorder.interactions.items():
            operation = recorder.cases[case_id].value.operation.label
            self.asked[asker, operation] += 1
            if interaction.response is None:
                self.wrong[asker, operation]["no answer"] = f"{interaction.request.method} {interaction.request.uri}"
            elif interaction.request.method == operation.split()[0]:
                self.statuses[operation][interaction.response.status_code] += 1
            for check in recorder.checks.get(case_id, ()):
                if check.failure_info is None and str(check.status) == "success":
                    continue
                info = check.failure_info
                said = f"{info.failure.title}: {info.failure.message}\n{info.code_sample}" if info else "the check itself broke"
                # One of a kind is enough to read.
                kind = f"{check.name}, {interaction.response.status_code if interaction.response else 'none'}"
                self.wrong[asker, operation].setdefault(kind, said)


def ask_as(asker, headers, base, known, tally):
    """Asks every operation as one asker."""
    once = [] if asker == "nobody" else ASKED_ONCE
    config = SchemathesisConfig.from_dict({**CONFIG, "base-url": base, "headers": headers, "operations": once})
    schema = schemathesis.openapi.from_url(f"{base}{API}/openapi.json", config=config)
    schemathesis.hooks.unregister_all()
    schemathesis.hook("before_call")(lead_to_what_exists(known))
    for event in from_schema(schema).execute():
        if isinstance(event, events.ScenarioFinished):
            tally.scenario(asker, event)
        elif isinstance(event, events.NonFatalError):
            tally.wrong[asker, event.label]["not asked to the end"] = str(event.info)
        elif isinstance(event, events.FatalError):
            raise event.exception
    return [operation.ok().label for operation in schema.get_all_operations()]


def main(base):
    base = base.rstrip("/")
    keys = make_keys(base)
    known = Known(base, keys["officer"])
    # The demo takes whoever comes for its own member, until they sign out.
    askers = {"nobody": {"Cookie": "signed-out=1"}}
    askers |= {role: {"Authorization": f"Bearer {key}"} for role, key in keys.items()}
    tally, passed, failed, operations = Tally(), 0, 0, []
    for asker, headers in askers.items():
        operations = ask_as(asker, headers, base, known, tally)
        for operation in operations:
            if tally.asked[asker, operation] == 0:
                tally.wrong[asker, operation]["not asked"] = "no request was sent"
    for operation in operations:
        answered = tally.statuses[operation]
        print(f"{operation}: " + ", ".join(f"{status} x{answered[status]}" for status in sorted(answered)))
        if not any(200 <= status < 300 for status in answered):
            tally.wrong["anybody", operation]["never answered"] = "nobody got what they asked for"
    for (asker, operation), kinds in tally.wrong.items():
        for kind, said in kinds.items():
            print(f"\n{operation} as {asker}, {kind}\n{said}")
    failed = sum(1 for kinds in tally.wrong.values() if kinds)
    passed = len(operations) * (len(askers) + 1) - failed
    print(f"{sum(tally.asked.values())} requests to {len(operations)} operations as {len(askers)} askers")
    print(f"{max(passed, 0)} passed, {failed} failed")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
