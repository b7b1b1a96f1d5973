/* Shelf keeper: a thread that makes the digests of samples again that are no longer true (book/digest.h), one after
 * the other, and tells the pages of each as event "book" {"what": "digest"}. */
#ifndef RUNDOWN_WEB_SHELF_KEEPER_H
#define RUNDOWN_WEB_SHELF_KEEPER_H

#include "web/workshop.h"

struct shelf_keeper;
struct shelf_keeper *shelf_keeper_new(struct workshop *workshop); /* borrowed; begins when it is first woken */
void shelf_keeper_free(struct shelf_keeper *keeper);              /* waits for the one under way; NULL is fine */

/* Something may have changed: look through the book. From any thread. */
void shelf_keeper_wake(struct shelf_keeper *keeper);

#endif
