-- A database as version 6 kept it, written out once. It never changes: whoever has one like it must keep it.
PRAGMA application_id = 1802399604;
PRAGMA user_version = 6;
BEGIN TRANSACTION;
CREATE TABLE booked (
        booking INTEGER NOT NULL REFERENCES booking,
        thread INTEGER NOT NULL REFERENCES thread,
        before TEXT,
        after TEXT NOT NULL,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (booking, thread)
    ) STRICT, WITHOUT ROWID;
CREATE TABLE booking (
        booking INTEGER PRIMARY KEY AUTOINCREMENT,
        at TEXT NOT NULL,
        why TEXT NOT NULL,
        piece INTEGER,
        threads INTEGER NOT NULL,
        undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
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
INSERT INTO "copy" VALUES(1,0,'2026-11-26T15:10:02.000Z','benchmate: 1
title: Harbour steps
family: diagonal
colours: {brick: "#8a3324", mortar: {css: "#d8d2c4", say: "pale mortar"}, weed: "#3f5f3a"}
strings: [brick, mortar, mortar, weed, brick]
start: tie-off
rows:
  - f b
  - fb bf
repeats: 5
','benchmate: 1
title: Tie off
family: steps
colours: {grey: grey}
steps:
  - do: Knot all five together
  - do: Pin the knot down
',NULL,5,865409471);
INSERT INTO "copy" VALUES(2,0,'2026-11-26T15:10:12.000Z','benchmate: 1
title: One lamp
family: diagonal
colours: {ink: "#1c2331", glow: "#f6d55c"}
strings: [ink, glow, ink, glow]
rows:
  - f f
  - b
repeats: 4
',NULL,NULL,4,1883915464);
CREATE TABLE cut (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        total INTEGER NOT NULL,
        gauge TEXT NOT NULL,
        colour TEXT NOT NULL,
        strings TEXT NOT NULL,
        leading INTEGER,
        mm REAL NOT NULL CHECK (mm > 0),
        thread INTEGER,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
CREATE TABLE event (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        act TEXT NOT NULL CHECK (act IN ('tie', 'untie', 'wrong', 'right', 'jump-tie', 'jump-untie', 'copy', 'made',
            'change', 'charted')),
        first INTEGER NOT NULL,
        last INTEGER NOT NULL,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "event" VALUES(1,1,'2026-11-26T15:10:02.000Z','tie',0,1,2601238145);
INSERT INTO "event" VALUES(1,2,'2026-11-26T15:10:03.000Z','tie',2,2,2617779889);
INSERT INTO "event" VALUES(1,3,'2026-11-26T15:10:04.000Z','tie',3,7,4075523047);
INSERT INTO "event" VALUES(1,4,'2026-11-26T15:10:05.000Z','made',5,0,3788439673);
INSERT INTO "event" VALUES(1,5,'2026-11-26T15:10:06.000Z','made',7,4,3962766143);
INSERT INTO "event" VALUES(1,6,'2026-11-26T15:10:06.000Z','change',11,2,1179951045);
INSERT INTO "event" VALUES(1,7,'2026-11-26T15:10:06.000Z','change',12,4,1054296566);
INSERT INTO "event" VALUES(1,8,'2026-11-26T15:10:07.000Z','tie',8,8,3850732236);
INSERT INTO "event" VALUES(1,9,'2026-11-26T15:10:08.000Z','untie',8,8,4278429074);
INSERT INTO "event" VALUES(2,1,'2026-11-26T15:10:12.000Z','tie',0,0,358762421);
INSERT INTO "event" VALUES(2,2,'2026-11-26T15:10:13.000Z','tie',1,1,1744291799);
INSERT INTO "event" VALUES(2,3,'2026-11-26T15:10:14.000Z','made',0,1,3510404317);
INSERT INTO "event" VALUES(2,4,'2026-11-26T15:10:14.000Z','wrong',0,0,3031458291);
CREATE TABLE gauge (
        name TEXT PRIMARY KEY,
        at TEXT NOT NULL,
        thickness REAL,
        slippery INTEGER NOT NULL DEFAULT 0 CHECK (slippery IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
CREATE TABLE knot_size (
        piece INTEGER PRIMARY KEY REFERENCES piece,
        wide REAL NOT NULL CHECK (wide > 0),
        high REAL NOT NULL CHECK (high > 0),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
CREATE TABLE left_over (
        session INTEGER NOT NULL REFERENCES session,
        number INTEGER NOT NULL,
        colour TEXT NOT NULL,
        strings TEXT NOT NULL,
        leading INTEGER,
        cut REAL NOT NULL CHECK (cut > 0),
        rest REAL CHECK (rest >= 0),
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (session, number)
    ) STRICT, WITHOUT ROWID;
CREATE TABLE measured (
        piece INTEGER NOT NULL REFERENCES piece,
        string INTEGER NOT NULL,
        done INTEGER NOT NULL,
        mm REAL NOT NULL CHECK (mm >= 0),
        joined INTEGER NOT NULL CHECK (joined IN (0, 1)),
        by_eye INTEGER NOT NULL CHECK (by_eye IN (0, 1)),
        at TEXT NOT NULL,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, string)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "measured" VALUES(1,2,8,415.5,0,1,'2026-11-26T15:10:09.000Z',2121145381);
INSERT INTO "measured" VALUES(1,4,8,1200.0,1,0,'2026-11-26T15:10:10.000Z',3873085270);
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
INSERT INTO "piece" VALUES(1,'Harbour steps','/gone/harbour.yaml','2026-11-26T15:10:02.000Z','2026-11-26T15:10:08.000Z',8,22,'rows',NULL,0,0,2,9,3373892091,NULL,0,0,0);
INSERT INTO "piece" VALUES(2,'One lamp','/gone/one-lamp.yaml','2026-11-26T15:10:12.000Z','2026-11-26T15:10:14.000Z',2,12,'segments',NULL,0,0,0,4,4007682485,NULL,0,0,0);
CREATE TABLE plan (
        piece INTEGER PRIMARY KEY REFERENCES piece,
        steps BLOB NOT NULL,
        sum INTEGER NOT NULL
    ) STRICT;
CREATE TABLE seen (
        session INTEGER NOT NULL REFERENCES session,
        number INTEGER NOT NULL,
        what TEXT NOT NULL CHECK (what IN ('string', 'base', 'rows', 'alpha rows', 'wide')),
        made INTEGER NOT NULL,
        carried INTEGER NOT NULL,
        stayed INTEGER NOT NULL,
        waited INTEGER NOT NULL,
        mm REAL NOT NULL CHECK (mm > 0),
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (session, number)
    ) STRICT, WITHOUT ROWID;
CREATE TABLE session (
        session INTEGER PRIMARY KEY AUTOINCREMENT,
        gauge TEXT NOT NULL,
        at TEXT NOT NULL,
        piece INTEGER,
        taken_back INTEGER NOT NULL DEFAULT 0 CHECK (taken_back IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
CREATE TABLE thread (
        thread INTEGER PRIMARY KEY AUTOINCREMENT,
        name TEXT NOT NULL,
        colour TEXT NOT NULL,
        kind TEXT NOT NULL,
        mm REAL NOT NULL CHECK (mm >= 0),
        whole INTEGER NOT NULL CHECK (whole IN (0, 1)),
        price TEXT,
        out INTEGER NOT NULL DEFAULT 0 CHECK (out IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('piece',2);
COMMIT;
