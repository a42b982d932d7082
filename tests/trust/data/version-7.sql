-- A database as version 7 kept it, written out once. It never changes: whoever has one like it must keep it.
PRAGMA application_id = 1802399604;
PRAGMA user_version = 7;
BEGIN TRANSACTION;
CREATE TABLE booked (
        booking INTEGER NOT NULL REFERENCES booking,
        thread INTEGER NOT NULL REFERENCES thread,
        before TEXT,
        after TEXT NOT NULL,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (booking, thread)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "booked" VALUES(1,1,NULL,'["pear skein", "#b7c96b", "floss", 8000.0, 1, null, 0]',384456037);
INSERT INTO "booked" VALUES(1,2,NULL,'["pear end", "#b7c96b", "floss", 700.0, 0, null, 0]',2111900119);
CREATE TABLE booking (
        booking INTEGER PRIMARY KEY AUTOINCREMENT,
        at TEXT NOT NULL,
        why TEXT NOT NULL,
        piece INTEGER,
        threads INTEGER NOT NULL,
        undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
INSERT INTO "booking" VALUES(1,'2026-11-26T17:40:00.000Z','added 2 threads',NULL,2,0,3231957547);
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
INSERT INTO "copy" VALUES(1,0,'2026-11-26T17:40:02.000Z','benchmate: 1
title: Orchard gate
family: diagonal
colours: {pear: "#b7c96b", bark: {css: "#5b4636", say: "old bark"}}
strings: [pear, bark, bark, pear]
rows:
  - f b
  - f
repeats: 12
',NULL,NULL,12,374160615);
INSERT INTO "copy" VALUES(2,0,'2026-11-26T17:40:21.000Z','benchmate: 1
title: Garden wall
family: diagonal
colours: {clay: "#a5552f", lime: "#ece6d6"}
strings: [clay, lime, lime, clay, lime]
rows:
  - f f
  - b b
repeats: 6
',NULL,NULL,6,1477530736);
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
INSERT INTO "cut" VALUES(1,0,4,'floss','pear','1',NULL,400.0,2,3787081030);
INSERT INTO "cut" VALUES(1,1,4,'floss','bark','2',NULL,400.0,NULL,928469589);
INSERT INTO "cut" VALUES(1,2,4,'floss','bark','3',NULL,400.0,NULL,1793475041);
INSERT INTO "cut" VALUES(1,3,4,'floss','pear','4',NULL,400.0,1,1950824330);
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
INSERT INTO "event" VALUES(1,1,'2026-11-26T17:40:02.000Z','right',0,0,1428625262);
INSERT INTO "event" VALUES(1,2,'2026-11-26T17:40:03.000Z','tie',0,0,1473313572);
INSERT INTO "event" VALUES(1,3,'2026-11-26T17:40:04.000Z','tie',1,1,1566544758);
INSERT INTO "event" VALUES(1,4,'2026-11-26T17:40:05.000Z','tie',2,2,2684551003);
INSERT INTO "event" VALUES(1,5,'2026-11-26T17:40:06.000Z','tie',3,3,3094647730);
INSERT INTO "event" VALUES(1,6,'2026-11-26T17:40:07.000Z','tie',4,4,335233526);
INSERT INTO "event" VALUES(1,7,'2026-11-26T17:40:08.000Z','tie',5,5,1015423186);
INSERT INTO "event" VALUES(1,8,'2026-11-26T17:40:09.000Z','tie',6,6,2497180132);
INSERT INTO "event" VALUES(1,9,'2026-11-26T17:40:10.000Z','tie',7,7,1522528710);
INSERT INTO "event" VALUES(1,10,'2026-11-26T17:40:11.000Z','tie',8,8,99250396);
INSERT INTO "event" VALUES(1,11,'2026-11-26T17:40:12.000Z','tie',9,9,496770101);
INSERT INTO "event" VALUES(1,12,'2026-11-26T17:40:13.000Z','tie',10,10,1938432031);
INSERT INTO "event" VALUES(1,13,'2026-11-26T17:40:14.000Z','tie',11,11,1960997401);
INSERT INTO "event" VALUES(1,14,'2026-11-26T17:40:15.000Z','tie',12,12,2653449414);
INSERT INTO "event" VALUES(1,15,'2026-11-26T17:40:16.000Z','tie',13,13,2568789843);
INSERT INTO "event" VALUES(2,1,'2026-11-26T17:40:21.000Z','right',0,0,3156989752);
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
INSERT INTO "measured" VALUES(1,1,11,410.0,1,0,'2026-11-26T17:40:18.000Z',1841823541);
INSERT INTO "measured" VALUES(1,3,14,360.0,1,0,'2026-11-26T17:40:19.000Z',1464792330);
CREATE TABLE new_string (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        string INTEGER NOT NULL,
        step INTEGER NOT NULL,
        colour TEXT NOT NULL,
        mm REAL NOT NULL CHECK (mm > 0),
        thread INTEGER,
        before TEXT,
        at TEXT NOT NULL,
        back TEXT,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "new_string" VALUES(1,0,1,9,'pear',500.0,2,'[14, 90.0, false, false, "2026-11-26T17:40:17.000Z"]','2026-11-26T17:40:18.000Z',NULL,2014478647);
INSERT INTO "new_string" VALUES(1,1,3,13,'bark',450.0,NULL,NULL,'2026-11-26T17:40:19.000Z',NULL,2246039716);
INSERT INTO "new_string" VALUES(1,2,2,12,'bark',420.0,NULL,NULL,'2026-11-26T17:40:19.200Z','2026-11-26T17:40:19.600Z',2005087012);
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
INSERT INTO "piece" VALUES(1,'Orchard gate','/gone/orchard-gate.yaml','2026-11-26T17:40:02.000Z','2026-11-26T17:40:16.000Z',14,36,'rows',NULL,0,0,4,15,3657192006,NULL,0,0,0);
INSERT INTO "piece" VALUES(2,'Garden wall','/gone/garden-wall.yaml','2026-11-26T17:40:21.000Z','2026-11-26T17:40:21.000Z',0,24,'rows',NULL,0,0,2,1,694314895,NULL,0,0,0);
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
INSERT INTO "thread" VALUES(1,'pear skein','#b7c96b','floss',8000.0,1,NULL,0,3772611785);
INSERT INTO "thread" VALUES(2,'pear end','#b7c96b','floss',700.0,0,NULL,0,4059399837);
CREATE TABLE ticked (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        colour TEXT NOT NULL,
        strings TEXT NOT NULL,
        leading INTEGER,
        mm REAL NOT NULL CHECK (mm > 0),
        thread INTEGER,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "ticked" VALUES(2,0,'clay','1',NULL,330.0,NULL,3705210229);
INSERT INTO "ticked" VALUES(2,1,'clay','4',NULL,330.0,NULL,35661344);
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('thread',2);
INSERT INTO "sqlite_sequence" VALUES('booking',1);
INSERT INTO "sqlite_sequence" VALUES('piece',2);
COMMIT;
