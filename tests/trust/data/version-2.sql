-- A database as version 2 kept it, written out once. It never changes: whoever has one like it must keep it.
PRAGMA application_id = 1802399604;
PRAGMA user_version = 2;
BEGIN TRANSACTION;
CREATE TABLE copy (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        design TEXT NOT NULL,
        start TEXT,
        finish TEXT,
        repeats INTEGER NOT NULL,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "copy" VALUES(1,0,'2026-11-25T08:00:00.000Z','benchmate: 1
title: Lamplit quay steps
family: diagonal
colours: {tar: "#22252b", lamp: {css: "#f0d9a0", say: "lamp light"}}
strings: [tar, lamp, lamp, tar, tar]
rows:
  - f b
  - f b
  - "f -"
  - b b
repeats: 3
',NULL,NULL,3);
INSERT INTO "copy" VALUES(2,0,'2026-11-25T08:00:00.000Z','benchmate: 1
title: Lamplit quay steps
family: diagonal
colours: {tar: "#22252b", lamp: {css: "#f0d9a0", say: "lamp light"}}
strings: [tar, lamp, lamp, tar, tar]
rows:
  - f b
  - f b
  - "f -"
  - b b
repeats: 3
',NULL,NULL,3);
CREATE TABLE event (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        act TEXT NOT NULL CHECK (act IN ('tie', 'untie', 'wrong', 'right', 'jump-tie', 'jump-untie', 'copy')),
        first INTEGER NOT NULL,
        last INTEGER NOT NULL,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "event" VALUES(1,1,'2026-11-25T08:30:00.000Z','tie',0,0);
INSERT INTO "event" VALUES(1,2,'2026-11-25T08:30:00.000Z','tie',1,1);
INSERT INTO "event" VALUES(1,3,'2026-11-25T08:30:00.000Z','tie',3,3);
INSERT INTO "event" VALUES(1,4,'2026-11-25T08:30:00.000Z','tie',4,4);
INSERT INTO "event" VALUES(1,5,'2026-11-25T08:30:00.000Z','tie',6,6);
INSERT INTO "event" VALUES(1,6,'2026-11-25T08:30:00.000Z','tie',2,2);
INSERT INTO "event" VALUES(1,7,'2026-11-25T08:30:00.000Z','tie',5,5);
INSERT INTO "event" VALUES(2,1,'2026-11-25T08:30:00.000Z','tie',1,1);
INSERT INTO "event" VALUES(2,2,'2026-11-25T08:30:00.000Z','tie',0,0);
INSERT INTO "event" VALUES(2,3,'2026-11-25T08:30:00.000Z','tie',3,3);
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
    , from_right INTEGER NOT NULL DEFAULT 0 CHECK (from_right IN (0, 1)), mirrored INTEGER NOT NULL DEFAULT 0 CHECK (mirrored IN (0, 1)), planned INTEGER NOT NULL DEFAULT 0) STRICT;
INSERT INTO "piece" VALUES(1,'Lamplit quay steps','/gone/quay-steps.yaml','2026-11-25T08:01:00.000Z','2026-11-25T09:01:00.000Z',7,21,'segments',NULL,0,1,0);
INSERT INTO "piece" VALUES(2,'Lamplit quay steps','/gone/quay-steps.yaml','2026-11-25T08:02:00.000Z','2026-11-25T09:02:00.000Z',3,21,'rows',NULL,1,0,0);
CREATE TABLE plan (
        piece INTEGER PRIMARY KEY REFERENCES piece,
        steps BLOB NOT NULL
    ) STRICT;
INSERT INTO "plan" VALUES(1,X'78010DC3070E80201000B053508603D7FFDF6A9B34226232995D9D5D2C36ABDDCDC3DDD3CBD7E1EDE3E70F18AC00D3');
CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('piece',2);
COMMIT;
