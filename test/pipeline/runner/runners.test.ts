import { inProcessRunner } from '../../../pipeline/runner/in-process.js';
import { openPagePool } from '../../../pipeline/runner/page-pool.js';
import { describeRunner } from '../../helpers/runner-conformance.js';

describeRunner('in this process', inProcessRunner);
describeRunner('in a pool of processes', () => openPagePool(2));
