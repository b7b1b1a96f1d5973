/* Shelf keeper: the shelf as it is served, read again only when somebody has written to the book; and a thread that
 * makes the digests of samples again that are no longer true (book/digest.h), one after the other, and tells the pages
 * of each as event "book" {"what": "digest"}. */
#ifndef RUNDOWN_WEB_SHELF_KEEPER_H
#define RUNDOWN_WEB_SHELF_KEEPER_H

#include "web/workshop.h"

struct shelf_keeper;
struct shelf_keeper *shelf_keeper_new(struct workshop *workshop); /* borrowed; begins when it is first woken */
void shelf_keeper_free(struct shelf_keeper *keeper);              /* waits for the one under way; NULL is fine */

/* Something may have changed: look through the book. From any thread. */
void shelf_keeper_wake(struct shelf_keeper *keeper);

/* Appends what shelf_list gives of all samples; wakes the thread where some are stale. `ret_tag` is that of the text. */
enum { SHELF_TAG = 24 };
enum status shelf_keeper_list(struct shelf_keeper *keeper, struct text *json, char ret_tag[static SHELF_TAG],
                              struct message *message);

#endif
