-- A database as version 4 kept it, written out once. It never changes: whoever has one like it must keep it.
PRAGMA application_id = 1802399604;
PRAGMA user_version = 4;
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
INSERT INTO "copy" VALUES(1,0,'2026-11-26T07:01:00.000Z','benchmate: 1
title: Lamp on the weir
family: diagonal
colours: {kelp: "#3b4a2f", sand: {css: "#dcc9a3", say: "wet sand"}}
strings: [kelp, sand, sand, kelp, sand]
rows:
  - f b
  - b f
  - fb f
  - "- bf"
repeats: 4
',NULL,NULL,4,1818367985);
INSERT INTO "copy" VALUES(2,0,'2026-11-26T07:08:00.000Z','benchmate: 1
title: A line for the ferry
family: braid
colours: {rust: "#a4492c", foam: "#eef2f0"}
slots: 8
strands: {1: rust, 2: foam, 3: rust}
moves: [1 > 4, 2 > 5]
',NULL,NULL,1,503807618);
INSERT INTO "copy" VALUES(3,0,'2026-11-26T07:11:00.000Z','benchmate: 1
title: Lamp on the weir
family: diagonal
colours: {kelp: "#3b4a2f", sand: {css: "#dcc9a3", say: "wet sand"}}
strings: [kelp, sand, sand, kelp, sand]
rows:
  - f b
  - b f
  - fb f
  - "- bf"
repeats: 4
',NULL,NULL,2,2780862029);
INSERT INTO "copy" VALUES(4,0,'2026-11-26T07:01:00.000Z','benchmate: 1
title: Lamp on the weir
family: diagonal
colours: {kelp: "#3b4a2f", sand: {css: "#dcc9a3", say: "wet sand"}}
strings: [kelp, sand, sand, kelp, sand]
rows:
  - f b
  - b f
  - fb f
  - "- bf"
repeats: 4
',NULL,NULL,4,879462735);
CREATE TABLE event (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        act TEXT NOT NULL CHECK (act IN ('tie', 'untie', 'wrong', 'right', 'jump-tie', 'jump-untie', 'copy')),
        first INTEGER NOT NULL,
        last INTEGER NOT NULL, sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "event" VALUES(1,1,'2026-11-26T07:01:00.000Z','tie',0,0,2664935435);
INSERT INTO "event" VALUES(1,2,'2026-11-26T07:02:00.000Z','tie',1,1,730208991);
INSERT INTO "event" VALUES(1,3,'2026-11-26T07:03:00.000Z','tie',2,2,2168299536);
INSERT INTO "event" VALUES(1,4,'2026-11-26T07:04:00.000Z','tie',3,3,2589215030);
INSERT INTO "event" VALUES(1,5,'2026-11-26T07:05:00.000Z','tie',5,5,2239269068);
INSERT INTO "event" VALUES(1,6,'2026-11-26T07:06:00.000Z','tie',4,4,808002072);
INSERT INTO "event" VALUES(2,1,'2026-11-26T07:08:00.000Z','tie',0,0,1302676775);
INSERT INTO "event" VALUES(2,2,'2026-11-26T07:09:00.000Z','tie',1,1,567223292);
INSERT INTO "event" VALUES(3,1,'2026-11-26T07:11:00.000Z','tie',1,1,3769896914);
INSERT INTO "event" VALUES(4,1,'2026-11-26T07:01:00.000Z','tie',0,0,3309912981);
INSERT INTO "event" VALUES(4,2,'2026-11-26T07:02:00.000Z','tie',1,1,1880680769);
INSERT INTO "event" VALUES(4,3,'2026-11-26T07:03:00.000Z','tie',2,2,3668136846);
INSERT INTO "event" VALUES(4,4,'2026-11-26T07:04:00.000Z','tie',3,3,3251288744);
INSERT INTO "event" VALUES(4,5,'2026-11-26T07:05:00.000Z','tie',5,5,3739646802);
INSERT INTO "event" VALUES(4,6,'2026-11-26T07:06:00.000Z','tie',4,4,1807208838);
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
    , from_right INTEGER NOT NULL DEFAULT 0 CHECK (from_right IN (0, 1)), mirrored INTEGER NOT NULL DEFAULT 0 CHECK (mirrored IN (0, 1)), planned INTEGER NOT NULL DEFAULT 0, entries INTEGER NOT NULL DEFAULT 0, sum INTEGER NOT NULL DEFAULT 0, name TEXT, aside INTEGER NOT NULL DEFAULT 0 CHECK (aside IN (0, 1)), deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1)), arranged INTEGER NOT NULL DEFAULT 0) STRICT;
INSERT INTO "piece" VALUES(1,'Lamp on the weir','/gone/lamp.yaml','2026-11-26T07:01:00.000Z','2026-11-26T07:06:00.000Z',6,28,'segments',NULL,0,0,0,6,3684978049,'For Ånna, the blue one',0,0,1);
INSERT INTO "piece" VALUES(2,'A line for the ferry','/gone/rope.yaml','2026-11-26T07:08:00.000Z','2026-11-26T07:09:00.000Z',2,2,'rows',NULL,0,0,0,2,877556586,NULL,0,0,0);
INSERT INTO "piece" VALUES(3,'Lamp on the weir','/gone/lamp.yaml','2026-11-26T07:11:00.000Z','2026-11-26T07:11:00.000Z',1,14,'rows',NULL,1,0,0,1,132063551,NULL,0,1,1);
INSERT INTO "piece" VALUES(4,'Lamp on the weir','/gone/lamp.yaml','2026-11-26T07:12:00.000Z','2026-11-26T07:12:00.000Z',6,28,'segments',NULL,0,0,0,6,2157340721,'For Ånna, the second',1,0,1);
CREATE TABLE plan (
        piece INTEGER PRIMARY KEY REFERENCES piece,
        steps BLOB NOT NULL,
        sum INTEGER NOT NULL
    ) STRICT;
INSERT INTO "plan" VALUES(1,X'78010DC3850D80000C00B0E1EE0EFFFF499B3422223135B330B7B2B4B6B1B5B773747072767173F570F7F4F2F6F5F1F30739A4017B',486271455);
INSERT INTO "plan" VALUES(4,X'78010DC3850D80000C00B0E1EE0EFFFF499B3422223135B330B7B2B4B6B1B5B773747072767173F570F7F4F2F6F5F1F30739A4017B',1378323539);
CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('piece',4);
COMMIT;
