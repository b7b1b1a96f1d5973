/* Run facts: all that the book holds of one run, as JSON (docs/book.md); of its readings what they come to. */
#ifndef RUNDOWN_ARCHIVE_RUN_FACTS_H
#define RUNDOWN_ARCHIVE_RUN_FACTS_H

#include "base/json_value.h"
#include "book/book_run.h"

/* The facts of book_json.h with label, rig, streams, events, corrections. */
enum status run_facts(struct book *book, const struct book_run *run, json_t **ret_facts, struct message *message);

#endif
