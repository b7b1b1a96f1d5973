/* Desk: what the commands that work on a book have in common. */
#ifndef RUNDOWN_CLI_DESK_H
#define RUNDOWN_CLI_DESK_H

#include "book/sample.h"

enum status desk_open(const char *path, enum book_access access, struct book **ret_book, struct message *message);
int64_t desk_utc_ns(void);

/* A label, rig or other paper as it stands in a file, once it has been read without a fault, and the name under which
 * a book keeps it: a rig's or loads' is that of the file. */
struct desk_paper {
    char name[BOOK_NAME];
    struct text text; /* owned */
};
enum status desk_read_paper(enum document_kind kind, const char *path, struct desk_paper *ret_paper,
                            struct message *message);

/* The same into the book, byte for byte. A label belongs to the sample; rigs and loads to the workshop. */
enum status desk_put_paper(struct book *book, int64_t sample, enum document_kind kind, const char *path,
                           int64_t *ret_id, struct message *message);

/* Before something goes for good: `yes` was given, or a person at the terminal says so. */
enum status desk_ask(const char *what, bool yes, struct message *message);

/* `2026-11-25 14:05:09` of a UTC time, "" for NaN; `marked` adds the Z of UTC. */
enum { DESK_TIME = 32 };
void desk_time(double utc_s, bool marked, char buffer[static DESK_TIME]);

/* To standard output; fails when that cannot be written. */
enum status desk_print(const struct text *text, struct message *message);

/* A command that is followed by an action, a book, and, where the action has one, an object. */
struct desk_action {
    const char *name;   /* "correct"; NULL ends the list */
    const char *object; /* what it is done to: "NAME"; NULL: to the book */
};
struct desk_words {
    int action; /* index into the actions; -1 not heard yet */
    const char *book, *object;
};

/* Takes a plain word as the action, the book, or the object. */
enum status desk_take_word(struct desk_words *words, const char *command, const struct desk_action *actions,
                           const char *word, struct message *message);
/* Whether all are there that the action wants. */
enum status desk_want_words(const struct desk_words *words, const char *command, const struct desk_action *actions,
                            struct message *message);

#endif
