//! The JSON of the web app: every endpoint of its own OpenAPI document, asked
//! over a socket, answers by its schema.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::schema::violations;
use common::web::{ROOM, Server};
use serde_json::Value;

fn served() -> Server {
    Server::start(|folder| {
        std::fs::create_dir(folder.join("job one")).unwrap();
        std::fs::write(folder.join("job one/a.room.toml"), ROOM).unwrap();
        std::fs::write(
            folder.join("job one/broken.room.toml"),
            "[room]\nname = 3\n",
        )
        .unwrap();
    })
}

#[test]
fn every_endpoint_answers_by_its_schema() {
    let server = served();
    let document: Value = serde_json::from_str(&server.get("/api/openapi.json").body).unwrap();
    let paths = document["paths"].as_object().unwrap();
    assert!(10 < paths.len());
    for (path, operation) in paths {
        let operation = &operation["get"];
        let asked = path.replace("{job}", "job%20one").replace("{room}", "a");
        let query = if path == "/api/air" {
            "?dry_bulb=24%20C&rh=60%20%25"
        } else {
            ""
        };
        let answer = server.get(&format!("{asked}{query}"));
        assert_eq!(answer.status, 200, "{path}: {}", answer.body);
        let found: Value = serde_json::from_str(&answer.body).unwrap();
        let schema = &operation["responses"]["200"]["content"]["application/json"]["schema"];
        assert_eq!(violations(schema, &found), [""; 0], "{path}");
    }
}

#[test]
fn what_cannot_be_answered_is_refused_in_words() {
    let server = served();
    let refused = |path: &str| {
        let answer = server.get(path);
        let found: Value = serde_json::from_str(&answer.body).unwrap();
        assert_eq!(found["schema"], "drywright/refused/1", "{path}");
        (answer.status, found)
    };
    for path in [
        "/api/nothing",
        "/api/jobs/none/rooms/a/load",
        "/api/jobs/job%20one/rooms/none/load",
        "/api/jobs/..%2f..%2fetc/rooms/a/load",
        "/api/jobs/job%20one/rooms/a%00/load",
    ] {
        assert_eq!(refused(path).0, 404, "{path}");
    }
    let (status, found) = refused("/api/jobs/job%20one/rooms/broken/load");
    assert_eq!(status, 422);
    let problem = found["problems"][0].as_str().unwrap();
    assert!(problem.starts_with("broken.room.toml:"), "{problem}");
    for path in [
        "/api/air",
        "/api/air?dry_bulb=1&rh=2",
        "/api/air?colour=red",
    ] {
        assert_eq!(refused(path).0, 400, "{path}");
    }
    // Without the cookie nothing is told.
    let stranger = server.ask("GET", "/api/jobs", &[], b"");
    assert_eq!(stranger.status, 401);
    assert!(!stranger.body.contains("job one"));
}
