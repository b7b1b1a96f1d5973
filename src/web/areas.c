#include "web/areas.h"

const struct http_route *const areas[] = {
    pages_routes, door_routes, shelf_routes, compare_routes, sample_routes, picture_routes, opened_routes, paper_routes,
    run_routes, bench_routes, plan_routes, rig_routes, check_routes, add_routes, task_routes, publish_routes,
    guide_routes, calculate_routes, NULL,
};
