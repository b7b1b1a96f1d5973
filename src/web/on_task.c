#include "web/areas.h"

const struct http_route task_routes[] = {
    {0},
};
