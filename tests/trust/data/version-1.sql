-- A database as version 1 kept it, written out once. It never changes: whoever has one like it must keep it.
PRAGMA application_id = 1802399604;
PRAGMA user_version = 1;
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
INSERT INTO "copy" VALUES(1,0,'2026-11-24T07:30:00.000Z','benchmate: 1
title: Weir loop
family: steps
colours: {dusk: "#3b2f5c"}
steps:
  - do: Fold the strings over a pin
  - do: Knot all strings together
    times: 2
',NULL,NULL,1);
INSERT INTO "copy" VALUES(2,0,'2026-11-24T07:33:00.000Z','benchmate: 1
title: Dusk over the weir
family: diagonal
colours: {dusk: "#3b2f5c", weir: {css: "#d9e4e8", say: "pale weir"}}
strings: [dusk, weir, weir, dusk]
start: weir-loop
rows:
  - f b
  - f
repeats: 3
','benchmate: 1
title: Weir loop
family: steps
colours: {dusk: "#3b2f5c"}
steps:
  - do: Fold the strings over a pin
  - do: Knot all strings together
    times: 2
',NULL,3);
INSERT INTO "copy" VALUES(2,1,'2026-11-24T07:48:00.000Z','benchmate: 1
title: Dusk over the weir
family: diagonal
colours: {dusk: "#3b2f5c", weir: {css: "#d9e4e8", say: "pale weir"}}
strings: [dusk, weir, weir, dusk]
start: weir-loop
rows:
  - f b
  - f
repeats: 5
','benchmate: 1
title: Weir loop
family: steps
colours: {dusk: "#3b2f5c"}
steps:
  - do: Fold the strings over a pin
  - do: Knot all strings together
    times: 2
',NULL,5);
CREATE TABLE event (
        piece INTEGER NOT NULL REFERENCES piece,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        act TEXT NOT NULL CHECK (act IN ('tie', 'untie', 'wrong', 'right', 'jump-tie', 'jump-untie', 'copy')),
        first INTEGER NOT NULL,
        last INTEGER NOT NULL,
        PRIMARY KEY (piece, number)
    ) STRICT, WITHOUT ROWID;
INSERT INTO "event" VALUES(1,1,'2026-11-24T07:30:00.000Z','tie',0,0);
INSERT INTO "event" VALUES(1,2,'2026-11-24T07:31:00.000Z','tie',1,1);
INSERT INTO "event" VALUES(1,3,'2026-11-24T07:32:00.000Z','tie',2,2);
INSERT INTO "event" VALUES(2,1,'2026-11-24T07:33:00.000Z','tie',0,0);
INSERT INTO "event" VALUES(2,2,'2026-11-24T07:34:00.000Z','tie',1,1);
INSERT INTO "event" VALUES(2,3,'2026-11-24T07:35:00.000Z','tie',2,2);
INSERT INTO "event" VALUES(2,4,'2026-11-24T07:36:00.000Z','tie',3,4);
INSERT INTO "event" VALUES(2,5,'2026-11-24T07:37:00.000Z','untie',4,4);
INSERT INTO "event" VALUES(2,6,'2026-11-24T07:38:00.000Z','tie',4,4);
INSERT INTO "event" VALUES(2,7,'2026-11-24T07:39:00.000Z','tie',5,5);
INSERT INTO "event" VALUES(2,8,'2026-11-24T07:40:00.000Z','wrong',4,4);
INSERT INTO "event" VALUES(2,9,'2026-11-24T07:41:00.000Z','untie',5,5);
INSERT INTO "event" VALUES(2,10,'2026-11-24T07:42:00.000Z','untie',4,4);
INSERT INTO "event" VALUES(2,11,'2026-11-24T07:43:00.000Z','tie',4,4);
INSERT INTO "event" VALUES(2,12,'2026-11-24T07:44:00.000Z','tie',5,5);
INSERT INTO "event" VALUES(2,13,'2026-11-24T07:45:00.000Z','tie',6,6);
INSERT INTO "event" VALUES(2,14,'2026-11-24T07:46:00.000Z','jump-tie',7,9);
INSERT INTO "event" VALUES(2,15,'2026-11-24T07:47:00.000Z','jump-untie',9,8);
INSERT INTO "event" VALUES(2,16,'2026-11-24T07:48:00.000Z','copy',1,1);
INSERT INTO "event" VALUES(2,17,'2026-11-24T07:49:00.000Z','tie',8,8);
INSERT INTO "event" VALUES(2,18,'2026-11-24T08:30:00.000Z','tie',9,9);
INSERT INTO "event" VALUES(2,19,'2026-11-24T08:31:00.000Z','wrong',3,3);
INSERT INTO "event" VALUES(2,20,'2026-11-24T08:32:00.000Z','right',3,3);
INSERT INTO "event" VALUES(2,21,'2026-11-24T08:33:00.000Z','wrong',4,4);
INSERT INTO "event" VALUES(2,22,'2026-11-24T08:34:00.000Z','untie',9,9);
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
    ) STRICT;
INSERT INTO "piece" VALUES(1,'Weir loop','/home/maker/designs/weir-loop.yaml','2026-11-24T07:30:00.000Z','2026-11-24T07:32:00.000Z',3,3,'rows',NULL);
INSERT INTO "piece" VALUES(2,'Dusk over the weir','/home/maker/designs/dusk.yaml','2026-11-24T07:33:00.000Z','2026-11-24T08:34:00.000Z',9,18,'rows','5f2c9a0b7d31e846');
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('piece',2);
COMMIT;
