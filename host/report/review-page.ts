import type { Review } from '../review/review.js';

export const reviewPage = (review: Review): string => JSON.stringify(review);
