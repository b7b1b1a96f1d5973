/* Book JSON: what a book holds, in the form of docs/book.md that commands and pages share. Every function that returns
 * a json_t hands it over. */
#ifndef RUNDOWN_ARCHIVE_BOOK_JSON_H
#define RUNDOWN_ARCHIVE_BOOK_JSON_H

#include "base/json_value.h"
#include "book/book_run.h"
#include "book/correction.h"
#include "book/picture.h"
#include "book/sample.h"

json_t *utc_json(int64_t utc_ns); /* "2026-11-25T14:05:09Z" */
json_t *sample_json(const struct book_sample *sample);
json_t *run_facts_json(const struct book_run *run, const char *sample_name); /* NULL: without it */
json_t *document_json(const struct document *document);
json_t *corrections_json(const struct correction_list *list);

/* All that the book holds of one sample but the readings: papers with every version, pictures, runs,
 * corrections. */
enum status sample_whole_json(struct book *book, const struct book_sample *sample, json_t **ret_json,
                              struct message *message);

/* A picture without its bytes; width and height upright, null where its first bytes do not tell. */
enum status picture_json(struct book *book, const struct picture *picture, json_t **ret_json, struct message *message);
/* Those of a sample and its runs, as they were added; appended to an array. */
enum status pictures_json(struct book *book, int64_t sample, json_t *array, struct message *message);

/* Every version of each paper of a sample, or (0) of the workshop; appended to an array. */
enum status papers_json(struct book *book, int64_t sample, json_t *array, struct message *message);

#endif
