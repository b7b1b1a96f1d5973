#include "book/schema.h"

/* Observed: sample, document, run, correction, event, run_text, stream, stream_column, journal, block, picture.
 * Recomputable from these: summary, finding, digest. AUTOINCREMENT where people or files name a row by its number:
 * a number once given never means something else. */
static const char *const form_1[] = {
    "CREATE TABLE sample ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  name TEXT NOT NULL,"
    "  folded TEXT NOT NULL UNIQUE," /* the name as compared: lower case, joints one blank */
    "  invented INTEGER NOT NULL CHECK (invented IN (0, 1)),"
    "  added_utc_ns INTEGER NOT NULL"
    ") STRICT",

    "CREATE TABLE document ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  sample INTEGER REFERENCES sample ON DELETE CASCADE," /* NULL: the workshop's */
    "  kind TEXT NOT NULL CHECK (kind IN ('label', 'rig', 'loads', 'plan', 'note')),"
    "  name TEXT NOT NULL,"
    "  replaces INTEGER UNIQUE REFERENCES document ON DELETE CASCADE,"
    "  utc_ns INTEGER NOT NULL,"
    "  content BLOB NOT NULL" /* as typed, byte for byte */
    ") STRICT",
    "CREATE INDEX document_of ON document (sample, kind, name)",

    "CREATE TABLE run ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  sample INTEGER NOT NULL REFERENCES sample ON DELETE CASCADE,"
    "  kind TEXT NOT NULL CHECK (kind IN ('discharge', 'charge', 'rest', 'protection', 'whole')),"
    "  origin TEXT NOT NULL CHECK (origin IN ('recorded', 'imported', 'typed', 'rehearsed')),"
    "  name TEXT NOT NULL,"
    "  rig INTEGER REFERENCES document,"
    "  label INTEGER REFERENCES document,"
    "  start_utc_s REAL,"
    "  zone_known INTEGER NOT NULL CHECK (zone_known IN (0, 1)),"
    "  open INTEGER NOT NULL CHECK (open IN (0, 1)),"
    "  end_s REAL,"
    "  invented INTEGER NOT NULL CHECK (invented IN (0, 1)),"
    "  added_utc_ns INTEGER NOT NULL"
    ") STRICT",
    "CREATE INDEX run_of ON run (sample, start_utc_s)",
    "CREATE INDEX run_rig ON run (rig)",
    "CREATE INDEX run_label ON run (label)",

    "CREATE TABLE correction ("
    "  id INTEGER PRIMARY KEY,"
    "  sample INTEGER REFERENCES sample ON DELETE CASCADE,"
    "  run INTEGER REFERENCES run ON DELETE CASCADE,"
    "  field TEXT NOT NULL,"
    "  old TEXT NOT NULL,"
    "  new TEXT NOT NULL,"
    "  utc_ns INTEGER NOT NULL,"
    "  CHECK ((sample IS NULL) <> (run IS NULL))"
    ") STRICT",
    "CREATE INDEX correction_sample ON correction (sample) WHERE sample IS NOT NULL",
    "CREATE INDEX correction_run ON correction (run) WHERE run IS NOT NULL",

    "CREATE TABLE stream ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  run INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,"
    "  name TEXT NOT NULL,"
    "  identity TEXT NOT NULL"
    ") STRICT",
    "CREATE INDEX stream_of ON stream (run)",
    "CREATE TABLE stream_column ("
    "  stream INTEGER NOT NULL REFERENCES stream ON DELETE CASCADE,"
    "  position INTEGER NOT NULL CHECK (position BETWEEN 1 AND 32)," /* 0 is time and has no row */
    "  name TEXT NOT NULL,"
    "  channel TEXT," /* NULL: no channel of the analysis */
    "  quantity TEXT NOT NULL,"
    "  factor REAL NOT NULL," /* own unit = (number + shift) * factor */
    "  shift REAL NOT NULL,"
    "  unit_symbol TEXT NOT NULL,"
    "  resolution REAL NOT NULL,"
    "  PRIMARY KEY (stream, position)"
    ") STRICT, WITHOUT ROWID",

    "CREATE TABLE event ("
    "  id INTEGER PRIMARY KEY,"
    "  run INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,"
    "  stream INTEGER REFERENCES stream ON DELETE CASCADE," /* NULL: the whole run */
    "  kind TEXT NOT NULL CHECK (kind IN ('mark', 'gap', 'call', 'link', 'note', 'line')),"
    "  t_s REAL NOT NULL,"
    "  until_s REAL,"
    "  topic TEXT NOT NULL,"
    "  words TEXT NOT NULL"
    ") STRICT",
    "CREATE INDEX event_of ON event (run, t_s)",
    "CREATE INDEX event_stream ON event (stream) WHERE stream IS NOT NULL",

    "CREATE TABLE run_text (" /* the latest of a topic holds */
    "  id INTEGER PRIMARY KEY,"
    "  run INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,"
    "  topic TEXT NOT NULL,"
    "  content BLOB NOT NULL"
    ") STRICT",
    "CREATE INDEX run_text_of ON run_text (run, topic)",

    /* Readings that no block holds yet, in the order of id: what one commit brought, as a small block. */
    "CREATE TABLE journal ("
    "  id INTEGER PRIMARY KEY,"
    "  stream INTEGER NOT NULL REFERENCES stream ON DELETE CASCADE,"
    "  readings INTEGER NOT NULL CHECK (readings > 0),"
    "  from_s REAL NOT NULL,"
    "  to_s REAL NOT NULL,"
    "  bytes BLOB NOT NULL"
    ") STRICT",
    "CREATE INDEX journal_of ON journal (stream)",

    /* The bytes stand last, so that what stands before them is read without them. */
    "CREATE TABLE block ("
    "  id INTEGER PRIMARY KEY,"
    "  stream INTEGER NOT NULL REFERENCES stream ON DELETE CASCADE,"
    "  seq INTEGER NOT NULL CHECK (seq >= 0)," /* 0, 1, 2, … in the order of time */
    "  readings INTEGER NOT NULL CHECK (readings > 0),"
    "  from_s REAL NOT NULL,"
    "  to_s REAL NOT NULL,"
    "  bytes BLOB NOT NULL,"
    "  UNIQUE (stream, seq)"
    ") STRICT",
    /* book/totals.h. Position 0 is time; numbers as printed, before factor and shift. */
    "CREATE TABLE summary ("
    "  stream INTEGER NOT NULL REFERENCES stream ON DELETE CASCADE,"
    "  position INTEGER NOT NULL CHECK (position BETWEEN 0 AND 32),"
    "  level INTEGER NOT NULL CHECK (level IN (0, 1)),"
    "  seq INTEGER NOT NULL CHECK (seq >= 0),"
    "  readings INTEGER NOT NULL,"
    "  numbers INTEGER NOT NULL,"
    "  first REAL, last REAL, first_s REAL, last_s REAL, min REAL, max REAL,"
    "  sum REAL NOT NULL,"
    "  integral REAL NOT NULL,"
    "  cells BLOB NOT NULL," /* the same of shorter stretches, for charts */
    "  PRIMARY KEY (stream, position, level, seq)"
    ") STRICT, WITHOUT ROWID",

    "CREATE TABLE finding ("
    "  id INTEGER PRIMARY KEY,"
    "  run INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,"
    "  method TEXT NOT NULL,"
    "  utc_ns INTEGER NOT NULL,"
    "  json TEXT NOT NULL"
    ") STRICT",
    "CREATE INDEX finding_of ON finding (run)",

    "CREATE TABLE picture ("
    "  id INTEGER PRIMARY KEY,"
    "  sample INTEGER NOT NULL REFERENCES sample ON DELETE CASCADE,"
    "  run INTEGER REFERENCES run ON DELETE CASCADE,"
    "  kind TEXT NOT NULL," /* media type: image/jpeg, image/png */
    "  name TEXT NOT NULL,"
    "  caption TEXT NOT NULL,"
    "  utc_ns INTEGER NOT NULL,"
    "  bytes BLOB NOT NULL"
    ") STRICT",
    "CREATE INDEX picture_of ON picture (sample)",
    "CREATE INDEX picture_run ON picture (run) WHERE run IS NOT NULL",

    "CREATE TABLE teardown ("
    "  id INTEGER PRIMARY KEY,"
    "  sample INTEGER NOT NULL REFERENCES sample ON DELETE CASCADE,"
    "  topic TEXT NOT NULL,"   /* what was looked at: `bus bar`, `cell code` */
    "  value TEXT NOT NULL,"   /* what was seen or measured, as typed */
    "  opinion TEXT NOT NULL," /* what the tester makes of it */
    "  utc_ns INTEGER NOT NULL"
    ") STRICT",
    "CREATE INDEX teardown_of ON teardown (sample)",
    NULL,
};

static const char *const form_2[] = {
    /* What was last found of a sample, in short; stale when `basis` is no longer what it would be now. */
    "CREATE TABLE digest ("
    "  sample INTEGER PRIMARY KEY REFERENCES sample ON DELETE CASCADE,"
    "  method TEXT NOT NULL,"
    "  basis TEXT NOT NULL,"
    "  utc_ns INTEGER NOT NULL,"
    "  json TEXT NOT NULL"
    ") STRICT",
    NULL,
};

/* What was seen in an opened sample, and the tester's own summary, are documents; a picture may show an item of it.
 * A CHECK cannot be altered: the table is made anew under another name, filled, and takes the old one's (SQLite, ALTER
 * TABLE, 7). What stood in the table `teardown`, which goes, becomes a note. Rebuilt, a picture's bytes stay last. */
static const char *const form_3[] = {
    "CREATE TABLE document_3 ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  sample INTEGER REFERENCES sample ON DELETE CASCADE," /* NULL: the workshop's */
    "  kind TEXT NOT NULL CHECK (kind IN ('label', 'rig', 'loads', 'plan', 'note', 'opened', 'summary')),"
    "  name TEXT NOT NULL,"
    "  replaces INTEGER UNIQUE REFERENCES document ON DELETE CASCADE,"
    "  utc_ns INTEGER NOT NULL,"
    "  content BLOB NOT NULL" /* as typed, byte for byte */
    ") STRICT",
    "INSERT INTO sqlite_sequence (name, seq) SELECT 'document_3', seq FROM sqlite_sequence WHERE name = 'document'",
    "INSERT INTO document_3 (id, sample, kind, name, replaces, utc_ns, content)"
    " SELECT id, sample, kind, name, replaces, utc_ns, content FROM document ORDER BY id",
    "DROP TABLE document",
    "ALTER TABLE document_3 RENAME TO document",
    "CREATE INDEX document_of ON document (sample, kind, name)",

    "INSERT INTO document (sample, kind, name, utc_ns, content)"
    " SELECT sample, 'note', 'seen in the opened sample', max(utc_ns), CAST(group_concat(topic || ': ' || value ||"
    " CASE opinion WHEN '' THEN '' ELSE '; ' || opinion END || char(10), '') AS BLOB) FROM teardown GROUP BY sample",
    "DROP TABLE teardown",

    "CREATE TABLE picture_3 ("
    "  id INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  sample INTEGER NOT NULL REFERENCES sample ON DELETE CASCADE,"
    "  run INTEGER REFERENCES run ON DELETE CASCADE,"
    "  kind TEXT NOT NULL," /* media type: image/jpeg, image/png */
    "  name TEXT NOT NULL,"
    "  caption TEXT NOT NULL,"
    "  item TEXT NOT NULL," /* slug of the item of the opened sample that it shows; '' none */
    "  shown INTEGER NOT NULL CHECK (shown IN (0, 1))," /* on the sheet and the page */
    "  utc_ns INTEGER NOT NULL,"
    "  bytes BLOB NOT NULL"
    ") STRICT",
    "INSERT INTO picture_3 (id, sample, run, kind, name, caption, item, shown, utc_ns, bytes)"
    " SELECT id, sample, run, kind, name, caption, '', 0, utc_ns, bytes FROM picture ORDER BY id",
    "DROP TABLE picture",
    "ALTER TABLE picture_3 RENAME TO picture",
    "CREATE INDEX picture_of ON picture (sample)",
    "CREATE INDEX picture_run ON picture (run) WHERE run IS NOT NULL",
    NULL,
};

const char *const *const schema_steps[BOOK_FORM] = {form_1, form_2, form_3};

static int count_row(void *context, int columns, char **values, char **names)
{
    (void)columns, (void)values, (void)names;
    ++*(int *)context;
    return 0;
}

static int apply_steps(sqlite3 *handle, const char *const *const *steps, int from, int to)
{
    int code = sqlite3_exec(handle, "BEGIN IMMEDIATE", NULL, NULL, NULL), astray = 0;
    for (int k = from; k < to; k++)
        for (const char *const *statement = steps[k]; *statement != NULL && code == SQLITE_OK; statement++)
            code = sqlite3_exec(handle, *statement, NULL, NULL, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_exec(handle, "PRAGMA foreign_key_check", count_row, &astray, NULL);
    if (code == SQLITE_OK && astray > 0)
        code = SQLITE_CONSTRAINT_FOREIGNKEY;
    char pragmas[96];
    snprintf(pragmas, sizeof pragmas, "PRAGMA application_id = %d; PRAGMA user_version = %d; COMMIT",
             BOOK_APPLICATION, to);
    if (code == SQLITE_OK)
        code = sqlite3_exec(handle, pragmas, NULL, NULL, NULL);
    if (code != SQLITE_OK && !sqlite3_get_autocommit(handle))
        (void)sqlite3_exec(handle, "ROLLBACK", NULL, NULL, NULL);
    return code;
}

int schema_apply(sqlite3 *handle, const char *const *const *steps, int from, int to)
{
    int code = sqlite3_exec(handle, "PRAGMA foreign_keys = OFF", NULL, NULL, NULL);
    if (code == SQLITE_OK)
        code = apply_steps(handle, steps, from, to);
    int kept = sqlite3_exec(handle, "PRAGMA foreign_keys = ON", NULL, NULL, NULL);
    return code != SQLITE_OK ? code : kept;
}

const char *schema_stand_in(int from)
{
    return from < 3 ? "PRAGMA temp_store = MEMORY; CREATE TEMP VIEW picture AS SELECT id, sample, run, kind, name, caption,"
                      " '' AS item, 0 AS shown, utc_ns, bytes FROM main.picture"
                    : "";
}
