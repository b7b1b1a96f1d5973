import { apply } from './settings.js';
import { startRouting } from './route.js';

apply();
startRouting();
