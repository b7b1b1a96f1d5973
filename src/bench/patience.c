#include "bench/patience.h"

static const int64_t again_ns = 1000000000;

enum status patience_end(struct recorder *recorder, const char *cause, const struct patience *patience,
                         struct message *message)
{
    struct clock machine = clock_machine();
    struct message fault = {0};
    enum status status = recorder_end(recorder, cause, &fault);
    for (int k = 0; status != STATUS_OK && k < patience->tries && !patience->given_up(patience->context); k++) {
        if (k == 0)
            patience->say(patience->context, &fault, recorder_held(recorder));
        machine.wait_ns(machine.context, machine.now_ns(machine.context) + again_ns);
        status = recorder_end(recorder, cause, &fault);
    }
    if (status != STATUS_OK && message != NULL)
        *message = fault;
    return status;
}
