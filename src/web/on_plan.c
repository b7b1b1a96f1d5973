#include "web/areas.h"

const struct http_route plan_routes[] = {
    {0},
};
