/* Served: the meters of a live bench, each behind its protocol on this machine. */
#ifndef RUNDOWN_REHEARSAL_SERVED_H
#define RUNDOWN_REHEARSAL_SERVED_H

#include "rehearsal/bench_rig.h"
#include "rehearsal/live.h"

struct served;

/* `rehearsal` and `clock` are borrowed until served_close. Ports of 0 take free ones. A bench that begins at once
 * (`now`) does not wait for somebody to ask. */
enum status served_open(const struct rehearsal *rehearsal, const struct clock *clock,
                        const struct bench_ports *wanted, bool now, struct served **ret_served,
                        struct message *message);
void served_close(struct served *served); /* NULL is fine */

const struct bench_ports *served_ports(const struct served *served); /* as they came to be */
struct live *served_live(struct served *served);

#endif
