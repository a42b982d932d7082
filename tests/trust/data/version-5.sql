-- A database as version 5 kept it, written out once. It never changes: whoever has one like it must keep it.
PRAGMA application_id = 1802399604;
PRAGMA user_version = 5;
BEGIN TRANSACTION;
CREATE TABLE booked (
        booking INTEGER NOT NULL REFERENCES booking,
        thread INTEGER NOT NULL REFERENCES thread,
        before TEXT,
        after TEXT NOT NULL,
        sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (booking, thread)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "booked" VALUES(1,1,NULL,'["tar from the pier", "#22252b", "twine", 8000.0, 1, "1.20", 0]',1670738366);
INSERT INTO "booked" VALUES(1,2,NULL,'["tar from the pier", "#22252b", "twine", 8000.0, 1, "1.20", 0]',706979005);
INSERT INTO "booked" VALUES(2,3,NULL,'["\u00c5nna''s \"lamp\"", "#f0d9a0", "floss", 2345.6, 0, null, 0]',3194628853);
INSERT INTO "booked" VALUES(3,2,'["tar from the pier", "#22252b", "twine", 8000.0, 1, "1.20", 0]','["tar from the pier", "#22252b", "twine", 8000.0, 1, "1.20", 1]',2873129091);
INSERT INTO "booked" VALUES(4,1,'["tar from the pier", "#22252b", "twine", 8000.0, 1, "1.20", 0]','["tar from the pier", "#22252b", "twine", 6120.0, 0, "1.20", 0]',3740829800);
INSERT INTO "booked" VALUES(4,3,'["\u00c5nna''s \"lamp\"", "#f0d9a0", "floss", 2345.6, 0, null, 0]','["\u00c5nna''s \"lamp\"", "#f0d9a0", "floss", 0.0, 0, null, 1]',3363623685);
INSERT INTO "booked" VALUES(4,4,NULL,'["tar from the pier", "#22252b", "twine", 412.5, 0, "1.20", 0]',2091215100);
CREATE TABLE booking (
        booking INTEGER PRIMARY KEY AUTOINCREMENT,
        at TEXT NOT NULL,
        why TEXT NOT NULL,
        piece INTEGER,
        threads INTEGER NOT NULL,
        undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
INSERT INTO "booking" VALUES(1,'2026-11-26T08:00:12.000Z','added tar from the pier',NULL,2,0,2210883500);
INSERT INTO "booking" VALUES(2,'2026-11-26T08:00:13.000Z','added Ånna''s "lamp"',NULL,1,0,2150270184);
INSERT INTO "booking" VALUES(3,'2026-11-26T08:00:14.000Z','took out thread 2',NULL,1,1,412400121);
INSERT INTO "booking" VALUES(4,'2026-11-26T08:00:15.000Z','used for Buoys in a row',1,3,0,3221771251);
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
INSERT INTO "copy" VALUES(1,0,'2026-11-26T08:00:01.000Z','benchmate: 1
title: Buoys in a row
family: diagonal
colours: {tar: "#22252b", lamp: {css: "#f0d9a0", say: "lamp light"}}
strings: [tar, lamp, lamp, tar]
thread: twine
rows:
  - f b
  - f
repeats: 6
',NULL,NULL,6,1185283424);
INSERT INTO "copy" VALUES(2,0,'2026-11-26T08:00:07.000Z','benchmate: 1
title: One gull
family: alpha
colours: {deep: "#0b3c5d", foam: "#f4f1de"}
base: deep
key: {".": deep, "#": foam}
chart: |
  .##.
  #..#
',NULL,NULL,1,1586377160);
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
INSERT INTO "cut" VALUES(1,0,3,'twine','tar','1 4',NULL,1880.0,1,1499376668);
INSERT INTO "cut" VALUES(1,1,3,'twine','lamp','2',NULL,940.0,2,3162383811);
INSERT INTO "cut" VALUES(1,2,3,'twine','lamp','3',NULL,940.0,NULL,4101735764);
INSERT INTO "cut" VALUES(2,0,2,'floss','deep','1',NULL,300.0,NULL,590161620);
INSERT INTO "cut" VALUES(2,1,2,'floss','foam','',1,470.0,3,507708297);
CREATE TABLE event (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        act TEXT NOT NULL CHECK (act IN ('tie', 'untie', 'wrong', 'right', 'jump-tie', 'jump-untie', 'copy')),
        first INTEGER NOT NULL,
        last INTEGER NOT NULL, sum INTEGER NOT NULL DEFAULT 0,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "event" VALUES(1,1,'2026-11-26T08:00:01.000Z','tie',0,0,2424293054);
INSERT INTO "event" VALUES(1,2,'2026-11-26T08:00:02.000Z','tie',1,1,103696289);
INSERT INTO "event" VALUES(1,3,'2026-11-26T08:00:03.000Z','tie',2,2,2993298391);
INSERT INTO "event" VALUES(1,4,'2026-11-26T08:00:04.000Z','tie',3,3,4059841502);
INSERT INTO "event" VALUES(1,5,'2026-11-26T08:00:05.000Z','tie',4,4,3562306668);
INSERT INTO "event" VALUES(2,1,'2026-11-26T08:00:07.000Z','tie',0,0,3860361165);
CREATE TABLE gauge (
        name TEXT PRIMARY KEY,
        at TEXT NOT NULL,
        thickness REAL,
        slippery INTEGER NOT NULL DEFAULT 0 CHECK (slippery IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
INSERT INTO "gauge" VALUES('twine','2026-11-26T08:00:08.000Z',0.9,1,4237391542);
CREATE TABLE knot_size (
        piece INTEGER PRIMARY KEY REFERENCES piece,
        wide REAL NOT NULL CHECK (wide > 0),
        high REAL NOT NULL CHECK (high > 0),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
INSERT INTO "knot_size" VALUES(2,2.25,1.75,353409736);
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
INSERT INTO "left_over" VALUES(1,1,'tar','1 4',NULL,1880.0,412.5,845501398);
INSERT INTO "left_over" VALUES(1,2,'lamp','2',NULL,990.0,NULL,2424812624);
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
INSERT INTO "piece" VALUES(1,'Buoys in a row','/gone/buoy.yaml','2026-11-26T08:00:01.000Z','2026-11-26T08:00:05.000Z',5,18,'rows',NULL,0,0,0,5,3671934665,NULL,0,0,0);
INSERT INTO "piece" VALUES(2,'One gull','/gone/gull.yaml','2026-11-26T08:00:07.000Z','2026-11-26T08:00:07.000Z',1,8,'rows',NULL,0,0,0,1,2954773357,NULL,0,0,0);
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
INSERT INTO "seen" VALUES(1,1,'string',40,38,0,6,610.5,4112045213);
INSERT INTO "seen" VALUES(1,2,'string',38,40,2,4,588.0,3011629647);
INSERT INTO "seen" VALUES(2,1,'rows',40,0,0,0,55.0,2056072100);
INSERT INTO "seen" VALUES(3,1,'wide',8,0,0,0,19.5,4189863226);
INSERT INTO "seen" VALUES(3,2,'string',20,20,0,0,260.0,2148654258);
CREATE TABLE session (
        session INTEGER PRIMARY KEY AUTOINCREMENT,
        gauge TEXT NOT NULL,
        at TEXT NOT NULL,
        piece INTEGER,
        taken_back INTEGER NOT NULL DEFAULT 0 CHECK (taken_back IN (0, 1)),
        sum INTEGER NOT NULL DEFAULT 0
    ) STRICT;
INSERT INTO "session" VALUES(1,'twine','2026-11-26T08:00:09.000Z',1,0,1164339962);
INSERT INTO "session" VALUES(2,'floss','2026-11-26T08:00:10.000Z',NULL,1,695979397);
INSERT INTO "session" VALUES(3,'floss','2026-11-26T08:00:11.000Z',NULL,0,871837302);
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
INSERT INTO "thread" VALUES(1,'tar from the pier','#22252b','twine',6120.0,0,'1.20',0,601387796);
INSERT INTO "thread" VALUES(2,'tar from the pier','#22252b','twine',8000.0,1,'1.20',0,2215614773);
INSERT INTO "thread" VALUES(3,'Ånna''s "lamp"','#f0d9a0','floss',0.0,0,NULL,1,3085874782);
INSERT INTO "thread" VALUES(4,'tar from the pier','#22252b','twine',412.5,0,'1.20',0,1603428743);
CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('piece',2);
INSERT INTO "sqlite_sequence" VALUES('session',3);
INSERT INTO "sqlite_sequence" VALUES('thread',4);
INSERT INTO "sqlite_sequence" VALUES('booking',4);
COMMIT;
