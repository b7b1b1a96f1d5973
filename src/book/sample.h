/* Samples: one physical unit each, and the documents that were typed about it.
 *
 * A document is text as typed: a label, a rig file, loads, a plan, a note, what was seen in the opened sample, the
 * tester's own summary. Correcting it adds a version; the
 * latest holds, the older stay readable. A rig or loads document with sample 0 belongs to the workshop. */
#ifndef RUNDOWN_BOOK_SAMPLE_H
#define RUNDOWN_BOOK_SAMPLE_H

#include "book/book.h"
#include "base/text.h"

enum { BOOK_NAME = 128 };

struct book_sample {
    int64_t id;
    char name[BOOK_NAME]; /* unique in the book, as name_alike compares */
    bool invented;
    int64_t added_utc_ns;
    int runs;
};

struct book_sample_list {
    struct book_sample *items;
    size_t count;
};

enum status book_sample_add(struct book *book, const char *name, bool invented, int64_t utc_ns, int64_t *ret_id,
                       struct message *message);
enum status book_sample_rename(struct book *book, int64_t id, const char *name, int64_t utc_ns, struct message *message);
/* With its runs and documents. */
enum status book_sample_remove(struct book *book, int64_t id, struct message *message);
enum status book_sample_find(struct book *book, const char *name, struct book_sample *ret_sample, struct message *message);
enum status book_sample_by_id(struct book *book, int64_t id, struct book_sample *ret_sample, struct message *message);
enum status book_samples(struct book *book, struct book_sample_list *ret_list, struct message *message);
void book_sample_list_free(struct book_sample_list *list);

enum document_kind { DOCUMENT_LABEL, DOCUMENT_RIG, DOCUMENT_LOADS, DOCUMENT_PLAN, DOCUMENT_NOTE, DOCUMENT_OPENED, DOCUMENT_SUMMARY,
                     DOCUMENT_KINDS };
extern const char *const document_kind_words[DOCUMENT_KINDS + 1]; /* "label", …, NULL */

struct document {
    int64_t id, sample, replaces; /* replaces: the version before, 0 for the first */
    enum document_kind kind;
    char name[BOOK_NAME];         /* "label"; the rig's name or file */
    int64_t utc_ns;
    struct text text;             /* owned */
};

/* Adds a version of the document (sample, kind, name). The same text again adds nothing and returns the id. */
enum status document_put(struct book *book, int64_t sample, enum document_kind kind, const char *name,
                         struct span text, int64_t utc_ns, int64_t *ret_id, struct message *message);
enum status document_get(struct book *book, int64_t id, struct document *ret_document, struct message *message);
/* The latest version; *ret_id is 0 when there is none. `name` NULL: the one last put of that kind. */
enum status document_latest(struct book *book, int64_t sample, enum document_kind kind, const char *name,
                            int64_t *ret_id, struct message *message);
/* Likewise, of that kind under whatever name, as it stood at that time. */
enum status document_held(struct book *book, int64_t sample, enum document_kind kind, int64_t utc_ns, int64_t *ret_id,
                          struct message *message);
/* Ids of all versions, oldest first; free() the array. */
enum status document_versions(struct book *book, int64_t id, int64_t **ret_ids, size_t *ret_count,
                              struct message *message);
/* Ids of the latest version of each document of a sample, or (0) of the workshop; free() the array. */
enum status document_list(struct book *book, int64_t sample, int64_t **ret_ids, size_t *ret_count,
                          struct message *message);
void document_free(struct document *document);

#endif
