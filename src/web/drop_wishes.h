/* Wishes: what somebody said of a dropped log, as for the options of `rundown import`. */
#ifndef RUNDOWN_WEB_DROP_WISHES_H
#define RUNDOWN_WEB_DROP_WISHES_H

#include "base/json_value.h"
#include "intake/log.h"

enum { DROP_WISHES = 64 };
struct drop_wishes {
    struct column_wish columns[DROP_WISHES];
    size_t count;
    double period_s; /* 0: the log has times */
    enum sign_stated sign;
    json_t *said; /* as it came; whoever keeps the wishes sets it */
};

/* {"columns": ["current=2:mA"], "period": "1s", "sign": "charge-positive"}; what is absent or null is no wish. */
enum status drop_wishes_read(const json_t *said, struct drop_wishes *wishes, struct message *message);

#endif
