-- A database as version 3 kept it, written out once. It never changes: whoever has one like it must keep it.
PRAGMA application_id = 1802399604;
PRAGMA user_version = 3;
BEGIN TRANSACTION;
CREATE TABLE copy (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        design TEXT NOT NULL,
        start TEXT,
        finish TEXT,
        repeats INTEGER NOT NULL, sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "copy" VALUES(1,0,'2026-11-26T06:02:00.000Z','benchmate: 1
title: Tern over the sandbar
family: diagonal
colours: {kelp: "#3b4a2f", sand: {css: "#dcc9a3", say: "wet sand"}}
strings: [kelp, sand, sand, kelp, sand]
rows:
  - f b
  - b f
  - fb f
  - "- bf"
repeats: 4
',NULL,NULL,4,641403252);
INSERT INTO "copy" VALUES(2,0,'2026-11-26T06:15:00.000Z','benchmate: 1
title: Bell buoy
family: alpha
colours: {rust: "#a4492c", foam: "#eef2f0"}
base: rust
key: {".": rust, "#": foam}
chart: |
  .#.
  ###
repeats: 1
start: pin-loop
','benchmate: 1
title: Pin loop
family: steps
colours: {rust: "#a4492c"}
steps:
  - do: Fold the strings over a pin
',NULL,1,603580239);
INSERT INTO "copy" VALUES(2,1,'2026-11-26T06:16:00.000Z','benchmate: 1
title: Bell buoy at dusk
family: alpha
colours: {rust: "#a4492c", foam: "#eef2f0"}
base: rust
key: {".": rust, "#": foam}
chart: |
  .#.
  ###
repeats: 1
start: pin-loop
','benchmate: 1
title: Pin loop
family: steps
colours: {rust: "#a4492c"}
steps:
  - do: Fold the strings over a pin
',NULL,1,3389484798);
INSERT INTO "copy" VALUES(3,0,'2026-11-26T06:20:00.000Z','benchmate: 1
title: Tern over the sandbar
family: diagonal
colours: {kelp: "#3b4a2f", sand: {css: "#dcc9a3", say: "wet sand"}}
strings: [kelp, sand, sand, kelp, sand]
rows:
  - f b
  - b f
  - fb f
  - "- bf"
repeats: 4
',NULL,NULL,2,3198447528);
CREATE TABLE event (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        act TEXT NOT NULL CHECK (act IN ('tie', 'untie', 'wrong', 'right', 'jump-tie', 'jump-untie', 'copy')),
        first INTEGER NOT NULL,
        last INTEGER NOT NULL, sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "event" VALUES(1,1,'2026-11-26T06:02:00.000Z','tie',1,1,2352880275);
INSERT INTO "event" VALUES(1,2,'2026-11-26T06:03:00.000Z','tie',0,0,3763633224);
INSERT INTO "event" VALUES(1,3,'2026-11-26T06:04:00.000Z','tie',3,3,4208104663);
INSERT INTO "event" VALUES(1,4,'2026-11-26T06:05:00.000Z','tie',2,2,1367748513);
INSERT INTO "event" VALUES(1,5,'2026-11-26T06:06:00.000Z','tie',4,4,2542871124);
INSERT INTO "event" VALUES(1,6,'2026-11-26T06:07:00.000Z','tie',5,5,4227548303);
INSERT INTO "event" VALUES(1,7,'2026-11-26T06:08:00.000Z','tie',8,8,314770241);
INSERT INTO "event" VALUES(1,8,'2026-11-26T06:09:00.000Z','tie',6,6,3914567218);
INSERT INTO "event" VALUES(1,9,'2026-11-26T06:10:00.000Z','tie',7,7,2090379695);
INSERT INTO "event" VALUES(1,10,'2026-11-26T06:11:00.000Z','wrong',2,2,115982713);
INSERT INTO "event" VALUES(1,11,'2026-11-26T06:12:00.000Z','untie',7,7,3389790910);
INSERT INTO "event" VALUES(1,12,'2026-11-26T06:13:00.000Z','untie',6,6,916576845);
INSERT INTO "event" VALUES(2,1,'2026-11-26T06:15:00.000Z','jump-tie',0,2,1643920688);
INSERT INTO "event" VALUES(2,2,'2026-11-26T06:16:00.000Z','copy',1,1,3562157713);
INSERT INTO "event" VALUES(2,3,'2026-11-26T06:17:00.000Z','tie',3,3,2266825028);
INSERT INTO "event" VALUES(2,4,'2026-11-26T06:18:00.000Z','tie',4,6,2773869688);
INSERT INTO "event" VALUES(3,1,'2026-11-26T06:20:00.000Z','tie',1,1,988858343);
INSERT INTO "event" VALUES(3,2,'2026-11-26T06:21:00.000Z','tie',0,0,1452974396);
INSERT INTO "event" VALUES(3,3,'2026-11-26T06:22:00.000Z','untie',0,0,3279755123);
INSERT INTO "event" VALUES(3,4,'2026-11-26T06:23:00.000Z','tie',0,0,3333971304);
CREATE TABLE piece (
        piece INTEGER PRIMARY KEY AUTOINCREMENT,
        title TEXT NOT NULL,
        file TEXT NOT NULL,
        started TEXT NOT NULL,
        touched TEXT NOT NULL,
        done INTEGER NOT NULL CHECK (done BETWEEN 0 AND size),
        size INTEGER NOT NULL,
        way TEXT NOT NULL,
        holder TEXT
    , from_right INTEGER NOT NULL DEFAULT 0 CHECK (from_right IN (0, 1)), mirrored INTEGER NOT NULL DEFAULT 0 CHECK (mirrored IN (0, 1)), planned INTEGER NOT NULL DEFAULT 0, entries INTEGER NOT NULL DEFAULT 0, sum INTEGER NOT NULL DEFAULT 0) STRICT;
INSERT INTO "piece" VALUES(1,'Tern over the sandbar','/gone/tern.yaml','2026-11-26T06:02:00.000Z','2026-11-26T06:13:00.000Z',7,28,'segments','5f2c9a0b7d31e846',0,1,0,12,2663226194);
INSERT INTO "piece" VALUES(2,'Bell buoy at dusk','/gone/buoy.yaml','2026-11-26T06:15:00.000Z','2026-11-26T06:18:00.000Z',7,7,'rows',NULL,0,0,0,4,2090948199);
INSERT INTO "piece" VALUES(3,'Tern over the sandbar',CAST(X'2F676F6E652F73E96D6170686F72652E79616D6C' AS TEXT),'2026-11-26T06:20:00.000Z','2026-11-26T06:23:00.000Z',2,14,'rows',NULL,1,0,0,4,992387441);
CREATE TABLE plan (
        piece INTEGER PRIMARY KEY REFERENCES piece,
        steps BLOB NOT NULL,
        sum INTEGER NOT NULL
    ) STRICT;
INSERT INTO "plan" VALUES(1,X'780125C58709804000C040BBBEBDBC7DFF3D3D3070244DFE72CB282869A8A8690974F44C0C8C2CCCAC6C1C44762E4E6E5E1E3E39C4017B',887018025);
CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('piece',3);
COMMIT;
