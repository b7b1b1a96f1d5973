#include "numeric/guard.h"

#include <gsl/gsl_errno.h>
#include <pthread.h>

static void quieten(void)
{
    gsl_set_error_handler_off();
}

void guard_gsl(void)
{
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    pthread_once(&once, quieten);
}
