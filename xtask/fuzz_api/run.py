"""Asks a running server everything that its OpenAPI document describes.

usage: run.py ADDRESS FOLDER EXAMPLES

ADDRESS is the line that `drywright serve` prints. The document is written to
FOLDER with the names of real jobs and rooms among those that may stand in a
path, since made-up names alone would find nothing but "not here".
"""

import http.client
import json
import pathlib
import subprocess
import sys
import urllib.parse

CHECKS = [
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_schema_conformance",
]


def main() -> int:
    address, folder, examples = sys.argv[1], pathlib.Path(sys.argv[2]), sys.argv[3]
    url = urllib.parse.urlsplit(address)

    def get(path: str, headers: dict[str, str]) -> http.client.HTTPResponse:
        connection = http.client.HTTPConnection(url.netloc)
        connection.request("GET", path, headers=headers)
        return connection.getresponse()

    entered = get(f"{url.path}?{url.query}", {})
    cookie = entered.getheader("set-cookie", "").split(";")[0]
    document = json.load(get("/api/openapi.json", {"Cookie": cookie}))
    jobs = json.load(get("/api/jobs", {"Cookie": cookie}))["jobs"]
    real = {
        "job": [j["job"] for j in jobs],
        "room": [r for j in jobs for r in j["rooms"]],
    }
    for path in document["paths"].values():
        for parameter in path["get"]["parameters"]:
            names = real.get(parameter["name"])
            if names:
                parameter["schema"] = {"anyOf": [{"enum": names}, parameter["schema"]]}
    # The cookie is sent with everything; without it nothing is told.
    document.pop("security")
    described = folder / "openapi.json"
    described.write_text(json.dumps(document))
    program = pathlib.Path(sys.executable).with_name("schemathesis")
    return subprocess.call(
        [
            program, "run", described,
            "--url", f"{url.scheme}://{url.netloc}",
            "--header", f"Cookie: {cookie}",
            "--checks", ",".join(CHECKS),
            "--max-examples", examples,
            "--seed", "1",
            "--workers", "2",
            "--request-timeout", "60",
        ]
    )


if __name__ == "__main__":
    sys.exit(main())
