/* INI files: `[section]`, `key = value`, comments from `#` or `;` at the start of a line and from
 * ` ;` after a value. UTF-8, with or without a byte order mark.
 *
 * The syntax is libinih's, save that an indented line is a line like any other and never continues
 * the one before. Keys may repeat and keep their order. Sections and keys are compared as
 * base/nearest.h's name_alike does. A key the reader does not know is a fault, with the nearest name
 * as the remedy: a mistyped claim must not go missing quietly. */
#ifndef RUNDOWN_INTAKE_INI_H
#define RUNDOWN_INTAKE_INI_H

#include "base/status.h"
#include "base/text.h"
#include "quantity/unit.h"

enum { INI_LIMIT = 1 << 20, INI_LINE_LIMIT = 1000 }; /* bytes of a file, of a line */

struct ini_entry {
    char *section; /* "" above the first section; as typed, owned */
    char *key;     /* as typed, owned */
    char *value;   /* trimmed, owned; may be "" */
    long line;
    long column; /* character at which the value starts, from 1 */
};

struct ini {
    char path[256];
    struct ini_entry *entries;
    size_t count, capacity;
};

enum status ini_read(const char *path, struct ini *ret_ini, struct message *message);
/* The same from memory; `path` is for messages. */
enum status ini_read_text(const char *path, struct span text, struct ini *ret_ini, struct message *message);
/* The file's bytes, for the two steps one by one; at most INI_LIMIT. */
enum status ini_load(const char *path, struct text *ret_text, struct message *message);
void ini_free(struct ini *ini);

/* The next entry of that section (NULL: any) and key (NULL: any) after `after` (NULL: the first), or
 * NULL. Borrowed from `ini`. */
const struct ini_entry *ini_next(const struct ini *ini, const char *section, const char *key,
                                 const struct ini_entry *after);

/* The one entry of that name; *ret_entry is NULL when there is none. Two of them are a fault. */
enum status ini_optional(const struct ini *ini, const char *section, const char *key,
                         const struct ini_entry **ret_entry, struct message *message);
/* The same, where none is a fault too; `remedy` says what to write. */
enum status ini_required(const struct ini *ini, const char *section, const char *key, const char *remedy,
                         const struct ini_entry **ret_entry, struct message *message);

/* Faults at the first key of `section`, or the first section, that is not among `known` (ended by
 * NULL; "" stands for the top of the file). */
enum status ini_known_keys(const struct ini *ini, const char *section, const char *const *known,
                           struct message *message);
enum status ini_known_sections(const struct ini *ini, const char *const *known, struct message *message);

/* The whole value as one quantity, in its own unit; `ret_digit` (may be NULL) as amount_read gives it. A
 * fault says which unit was expected. QUANTITY_NONE expects a bare number. */
enum status ini_quantity(const struct ini *ini, const struct ini_entry *entry, enum quantity expected,
                         double *ret_value, double *ret_digit, struct message *message);
enum status ini_yes(const struct ini *ini, const struct ini_entry *entry, bool *ret_yes,
                    struct message *message);

/* A fault of the value, `offset` bytes into it. Returns STATUS_MALFORMED; add a remedy with
 * status_remedy. */
__attribute__((format(printf, 5, 6)))
enum status ini_fault(const struct ini *ini, const struct ini_entry *entry, size_t offset,
                      struct message *message, const char *what, ...);

#endif
