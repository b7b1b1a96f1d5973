/* Opened: what was seen and measured in an opened sample, as its file says it.
 *
 * An INI file, one section an item: the kind, then a name of the tester's where there are several. docs/opened.md is the
 * full form.
 *
 *     [opened]
 *     date = 2026-03-02
 *     invented = yes
 *
 *     [conductor main lead]
 *     size = 4 x 10 AWG, copper
 *     length = 250 mm
 *     insulation = 200 °C, silicone
 *     opinion = neat, but thin
 *     grade = fair, strands nicked at one lug
 *
 * What was seen or measured stands apart from what the tester makes of it (opinion, grade). A key that a kind does not
 * know is a fault with the nearest one as the remedy. A key with nothing after the sign is one not looked at yet, as in a
 * form that is being filled in, and is left out. Here only the form is read; what the values say is inspection.h's. */
#ifndef RUNDOWN_TEARDOWN_OPENED_H
#define RUNDOWN_TEARDOWN_OPENED_H

#include "base/status.h"
#include "base/text.h"

#include <stdbool.h>

enum opened_kind {
    OPENED_CONDUCTOR,
    OPENED_BUS_BAR,
    OPENED_BALANCE_LEADS,
    OPENED_FUSE,
    OPENED_BOARD,       /* the BMS */
    OPENED_SENSOR,
    OPENED_CELLS,       /* count, arrangement, markings, codes */
    OPENED_CASE,
    OPENED_VENT,
    OPENED_SEAL,
    OPENED_COMPRESSION,
    OPENED_WIRING,
    OPENED_OTHER,
    OPENED_KINDS
};
extern const char *const opened_kind_words[OPENED_KINDS + 1]; /* "conductor", "bus bar", … NULL */

enum opened_grade { GRADE_NONE, GRADE_GOOD, GRADE_FAIR, GRADE_POOR };
const char *opened_grade_name(enum opened_grade grade); /* "good", … "" */

struct opened_entry {
    char *key, *value; /* as typed, owned */
    long line, column;
};

struct opened_item {
    enum opened_kind kind;
    char name[64];   /* "main lead"; "" where there is one of the kind */
    char title[96];  /* "conductor main lead": kind and name */
    char slug[96];   /* "conductor-main-lead": for pictures, JSON and links; unique in the file */
    struct opened_entry *entries; /* without opinion and grade */
    size_t entry_count;
    char *opinion;   /* owned; "" for none */
    enum opened_grade grade;
    char *grade_why; /* owned; "" */
    long line;
};

struct opened {
    char path[256];
    char date[32];    /* "" not said */
    int year, month, day; /* of it; 0 */
    bool invented;
    struct opened_item *items;
    size_t count;
};

enum status opened_read(const char *path, struct opened *ret_opened, struct message *message);
/* The same from memory; `path` is for messages. */
enum status opened_read_text(const char *path, struct span text, struct opened *ret_opened, struct message *message);
void opened_free(struct opened *opened);

const struct opened_item *opened_named(const struct opened *opened, const char *slug); /* NULL */
/* The first of that key; NULL. */
const struct opened_entry *opened_entry(const struct opened_item *item, const char *key);
const char *opened_value(const struct opened_item *item, const char *key);

/* The keys that an item of that kind may have, with what to write there and why: what a form asks and what a message
 * names. Ended by a key of NULL. */
struct opened_key {
    const char *key;
    const char *example; /* "4 x 10 AWG, copper" */
    const char *why;     /* what it is good for, in a few words */
    bool repeats;        /* one line each: codes of cells */
    const char *const *choices; /* words that the value usually begins with, ended by NULL; NULL: anything */
};
const struct opened_key *opened_keys(enum opened_kind kind);

/* The file's text with one item put in place of the one of that slug, or added at the end (slug NULL); taken out, with
 * the blank lines after it, where `section` is empty. Every other byte stays as it was, remarks between two items
 * included. `section` is the item's own text from its `[…]` line on. The result is read again before it is handed over. */
enum status opened_put(struct span text, const char *slug, struct span section, struct text *ret_text,
                       struct message *message);

#endif
